// FLAC takes, through mewkiz/flac.

package decode

import (
	"crypto/md5"
	"errors"
	"fmt"
	"io"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// errLongFLACFrame is a lawful frame of 65536 samples, which STREAMINFO cannot state (RFC 9639, 8.2).
var errLongFLACFrame = errors.New("found a frame of 65536 samples, expected at most 65535")

// decodeFLAC keeps what comes before a damaged or missing frame; each frame carries its own CRC. All the samples
// together are checked against the MD5 in the header (RFC 9639, 8.2), where the encoder left one.
func decodeFLAC(in *input) (*Sound, error) {
	hushFLAC()
	stream, err := flac.New(io.NewSectionReader(in.r, 0, in.size))
	if err != nil {
		return nil, fmt.Errorf("%s: found a damaged FLAC header (%w), expected STREAMINFO and whole metadata "+
			"blocks; get the file again from where it came from", in.path, err)
	}
	info := stream.Info
	channels, rateHz := int(info.NChannels), int(info.SampleRate)
	if err := checkForm(in.path, channels, rateHz); err != nil {
		return nil, err
	}
	declared := int64(info.NSamples) // 0: not stated
	if err := checkLimits(in.path, declared, channels, rateHz); err != nil {
		return nil, err
	}
	s := &Sound{RateHz: rateHz, Bits: int(info.BitsPerSample), Format: "FLAC", Channels: newChannels(channels, 0)}
	likely := min(declared, 2*in.size/int64(channels)) // at most what a file of this size holds in common practice
	if err := in.out.begin(s, likely); err != nil {
		return nil, err
	}
	samples := md5.New()
	for {
		block, err := nextFLAC(stream, info)
		if errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
			break
		}
		if err != nil {
			if in.out.frames == 0 {
				return nil, fmt.Errorf("%s: frame 0: %w; get the file again from where it came from", in.path, err)
			}
			s.Truncated = true
			return s, nil
		}
		block.Hash(samples)
		floats := in.out.room(int(block.BlockSize))
		for c, sub := range block.Subframes {
			fromIntegers(floats[c], sub.Samples, s.Bits)
		}
		if err := in.out.give(floats); err != nil {
			return nil, err
		}
	}
	s.Truncated = in.out.frames < declared
	s.Damaged = info.MD5sum != [md5.Size]byte{} && info.MD5sum != [md5.Size]byte(samples.Sum(nil))
	return s, nil
}

// nextFLAC decodes the next frame. A frame may leave its sample size to STREAMINFO, which the library does
// not look up.
func nextFLAC(stream *flac.Stream, info *meta.StreamInfo) (block *frame.Frame, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("found a damaged frame (%v), expected a whole one", fault)
		}
	}()
	if block, err = stream.Next(); err != nil {
		return nil, err
	}
	if block.BitsPerSample == 0 {
		block.BitsPerSample = info.BitsPerSample
	}
	if block.BitsPerSample != info.BitsPerSample || block.Channels.Count() != int(info.NChannels) {
		return nil, fmt.Errorf("found a frame of %d channels of %d bits, expected the header's %d of %d",
			block.Channels.Count(), block.BitsPerSample, info.NChannels, info.BitsPerSample)
	}
	if block.BlockSize == 0 {
		return nil, errLongFLACFrame
	}
	return block, block.Parse()
}

// fromIntegers makes floats, full scale ±1, of samples of so many bits.
func fromIntegers(dst []float32, samples []int32, bits int) {
	scale := 1 / float32(int64(1)<<(bits-1))
	for i, sample := range samples {
		dst[i] = float32(sample) * scale
	}
}
