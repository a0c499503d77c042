// Sound files built field by field.

package testsound

import (
	"encoding/binary"
	"math"
)

// Joined puts fields one behind the other, numbers in the given order of bytes.
func Joined(order binary.ByteOrder, fields ...any) []byte {
	var out []byte
	for _, field := range fields {
		if text, ok := field.(string); ok {
			field = []byte(text)
		}
		var err error
		if out, err = binary.Append(out, order, field); err != nil {
			panic(err)
		}
	}
	return out
}

// WavBytes is a WAVE file by Multimedia Programming Interface and Data Specifications 1.0.
func WavBytes(tag uint16, channels, rateHz, bits int, samples []byte) []byte {
	align := channels * bits / 8
	chunks := Joined(binary.LittleEndian, "WAVEfmt ", uint32(16), tag, uint16(channels), uint32(rateHz),
		uint32(rateHz*align), uint16(align), uint16(bits),
		"data", uint32(len(samples)), samples)
	return Joined(binary.LittleEndian, "RIFF", uint32(len(chunks)), chunks)
}

// Sine16 is interleaved 16-bit little-endian: in channel c a sine of (c+1)·100 Hz, 6 dB below full scale.
func Sine16(channels, rateHz, frames int) []byte {
	var out []byte
	for i := range frames {
		for c := range channels {
			v := 0.5 * math.Sin(2*math.Pi*float64(c+1)*100*float64(i)/float64(rateHz))
			out = binary.LittleEndian.AppendUint16(out, uint16(int16(math.Round(v*32767))))
		}
	}
	return out
}
