// AIFF's SSND chunk: the samples, through the decoders of mapping/wav.

package decode

import (
	"encoding/binary"

	"lapstrake/mapping/wav"
)

func (f *aiff) decode() (*Sound, error) {
	common := f.common
	at, frames, truncated, err := f.frames()
	if err != nil {
		return nil, err
	}
	if err := checkLimits(f.in.path, frames, common.channels, common.rateHz); err != nil {
		return nil, err
	}
	s := &Sound{
		RateHz: common.rateHz, Bits: common.bits, Float: common.storage.encoding.IsFloat(), Format: "AIFF",
		Channels: newChannels(common.channels, 0), Truncated: truncated,
	}
	if err := f.in.out.begin(s, frames); err != nil {
		return nil, err
	}
	block := make([]float32, blockSamples/common.channels*common.channels)
	raw := make([]byte, len(block)*common.storage.encoding.Bytes())
	for done := int64(0); done < frames; {
		n := min(int64(len(block)/common.channels), frames-done)
		part, bytes := block[:n*int64(common.channels)], raw[:n*common.frameBytes()]
		if err := f.readAt(bytes, at+done*common.frameBytes()); err != nil {
			return nil, err
		}
		common.storage.decode(part, bytes)
		if s.Float && zeroNotFinite(part) {
			s.NotFinite = true
		}
		if err := f.in.out.add(part); err != nil {
			return nil, err
		}
		done += n
	}
	return s, nil
}

// decode makes floats of raw, which it turns into WAV's bytes on the way.
func (a aiffStorage) decode(dst []float32, raw []byte) {
	if a.signed8 {
		for i := range raw {
			raw[i] ^= 0x80
		}
	}
	if a.bigEndian {
		swapBytes(raw, a.encoding.Bytes())
	}
	wav.Decode(dst, raw, a.encoding)
}

// swapBytes turns samples of width bytes round.
func swapBytes(raw []byte, width int) {
	switch width {
	case 2:
		for b := raw; len(b) >= 2; b = b[2:] {
			b[0], b[1] = b[1], b[0]
		}
	case 3:
		for b := raw; len(b) >= 3; b = b[3:] {
			b[0], b[2] = b[2], b[0]
		}
	case 4:
		for b := raw; len(b) >= 4; b = b[4:] {
			binary.LittleEndian.PutUint32(b, binary.BigEndian.Uint32(b))
		}
	case 8:
		for b := raw; len(b) >= 8; b = b[8:] {
			binary.LittleEndian.PutUint64(b, binary.BigEndian.Uint64(b))
		}
	}
}
