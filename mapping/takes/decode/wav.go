// WAV takes, through mapping/wav.

package decode

import (
	"errors"

	"lapstrake/mapping/wav"
)

// blockSamples is how many interleaved samples are decoded before they are dealt out to the channels.
const blockSamples = 16 << 10

func decodeWAV(in *input) (*Sound, error) {
	file, err := wav.NewFile(in.r, in.size, in.path)
	var truncated *wav.TruncatedError
	if err != nil && !errors.As(err, &truncated) {
		return nil, err
	}
	info := file.Info
	if err := checkLimits(in.path, info.Frames, info.Channels, info.RateHz); err != nil {
		return nil, err
	}
	s := &Sound{
		RateHz: info.RateHz, Bits: 8 * info.Encoding.Bytes(), Float: info.Encoding.IsFloat(), Format: "WAV",
		Channels: newChannels(info.Channels, 0), Truncated: truncated != nil,
	}
	if err := in.out.begin(s, info.Frames); err != nil {
		return nil, err
	}
	block := make([]float32, blockSamples/info.Channels*info.Channels)
	for at := int64(0); at < info.Frames; {
		part := block[:min(int64(len(block)), (info.Frames-at)*int64(info.Channels))]
		err := file.ReadFrames(part, at)
		var notFinite *wav.NotFiniteError
		if errors.As(err, &notFinite) {
			s.NotFinite = true
		} else if err != nil {
			return nil, err
		}
		if err := in.out.add(part); err != nil {
			return nil, err
		}
		at += int64(len(part) / info.Channels)
	}
	return s, nil
}
