// The file of a clip: FLAC (RFC 9639), which browsers play and which loses nothing.

package check

import (
	"bytes"
	"math"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// encodeFLAC writes interleaved stereo frames at 16 bits.
func encodeFLAC(frames []float32, rateHz int) ([]byte, error) {
	const blockFrames, bits = 4096, 16
	total := len(frames) / 2
	var file bytes.Buffer
	encoder, err := flac.NewEncoder(&file, &meta.StreamInfo{
		BlockSizeMin: blockFrames, BlockSizeMax: blockFrames, SampleRate: uint32(rateHz), NChannels: 2,
		BitsPerSample: bits,
		NSamples:      uint64(total),
	})
	if err != nil {
		return nil, err
	}
	for from := 0; from < total; from += blockFrames {
		n := min(blockFrames, total-from)
		block := &frame.Frame{Header: frame.Header{
			HasFixedBlockSize: true, BlockSize: uint16(n), SampleRate: uint32(rateHz), Channels: frame.ChannelsLR,
			BitsPerSample: bits,
		}}
		for side := range 2 {
			samples := make([]int32, n)
			for i := range samples {
				samples[i] = int32(min(max(math.Round(32768*float64(frames[2*(from+i)+side])), -32768), 32767))
			}
			block.Subframes = append(block.Subframes, &frame.Subframe{
				SubHeader: frame.SubHeader{Pred: frame.PredVerbatim}, Samples: samples, NSamples: n,
			})
		}
		if err := encoder.WriteFrame(block); err != nil {
			return nil, err
		}
	}
	return file.Bytes(), encoder.Close()
}
