// WAVE files of every form, in memory.

package stream

import (
	"encoding/binary"
	"math"
)

// waveForm is how a test's WAVE file stores its samples.
type waveForm struct {
	tag              uint16 // 1 integer, 3 float
	bits             int
	channels, rateHz int
	extensible       bool
}

// waveFile builds a file field by field: Multimedia Programming Interface and
// Data Specifications 1.0; mmreg.h and RFC 2361 for the extensible form.
func waveFile(form waveForm, frames int, at func(pos int) (left, right float64)) []byte {
	put16, put32 := binary.LittleEndian.AppendUint16, binary.LittleEndian.AppendUint32
	var data []byte
	for pos := range frames {
		left, right := at(pos)
		data = appendSample(data, form, left)
		if form.channels == 2 {
			data = appendSample(data, form, right)
		}
	}
	align := form.channels * form.bits / 8
	tag := form.tag
	if form.extensible {
		tag = 0xFFFE
	}
	format := put16(put16(nil, tag), uint16(form.channels))
	format = put32(put32(format, uint32(form.rateHz)), uint32(form.rateHz*align))
	format = put16(put16(format, uint16(align)), uint16(form.bits))
	if form.extensible {
		format = put32(put16(put16(format, 22), uint16(form.bits)), 3)
		format = append(put16(format, form.tag), "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"...)
	}
	body := append(put32([]byte("WAVEfmt "), uint32(len(format))), format...)
	body = append(put32(append(body, "data"...), uint32(len(data))), data...)
	if len(data)%2 == 1 {
		body = append(body, 0)
	}
	return append(put32([]byte("RIFF"), uint32(len(body))), body...)
}

func appendSample(data []byte, form waveForm, sample float64) []byte {
	var bits uint64
	switch {
	case form.tag == 3 && form.bits == 32:
		bits = uint64(math.Float32bits(float32(sample)))
	case form.tag == 3:
		bits = math.Float64bits(sample)
	case form.bits == 8:
		bits = uint64(128 + int64(sample*128))
	default:
		bits = uint64(int64(sample * float64(int64(1)<<(form.bits-1))))
	}
	return append(data, binary.LittleEndian.AppendUint64(nil, bits)[:form.bits/8]...)
}
