// Samples as stored to floats in plain Go. Most processors have no other way, and the assembly is checked against this
// one.

package wav

import (
	"encoding/binary"
	"math"
)

const (
	scale16 = 1.0 / (1 << 15)
	scale32 = 1.0 / (1 << 31)
)

// DecodePortable is Decode without assembly.
func DecodePortable(dst []float32, src []byte, e Encoding) {
	src = src[:len(dst)*e.Bytes()]
	switch e {
	case Uint8:
		for i, b := range src {
			dst[i] = float32(int(b)-128) * (1.0 / (1 << 7))
		}
	case Int16:
		decode16(dst, src)
	case Int24:
		decode24(dst, src)
	case Int32:
		decode32(dst, src)
	case Float32:
		decodeFloat32(dst, src)
	case Float64:
		for i := range dst {
			dst[i] = float32(math.Float64frombits(binary.LittleEndian.Uint64(src[8*i:])))
		}
	case ALaw:
		decodeTable(dst, src, &aLawValues)
	case MuLaw:
		decodeTable(dst, src, &muLawValues)
	}
}

// decode16 takes four samples from each 64-bit load.
func decode16(dst []float32, src []byte) {
	for len(dst) >= 4 && len(src) >= 8 {
		w := binary.LittleEndian.Uint64(src)
		dst[0] = float32(int16(w)) * scale16
		dst[1] = float32(int16(w>>16)) * scale16
		dst[2] = float32(int16(w>>32)) * scale16
		dst[3] = float32(int16(w>>48)) * scale16
		dst, src = dst[4:], src[8:]
	}
	for i := range dst {
		dst[i] = float32(int16(binary.LittleEndian.Uint16(src[2*i:]))) * scale16
	}
}

// decode24 takes eight samples from three 64-bit loads. Each sample is moved to the top of a
// 32-bit word, which carries its sign there, and scaled as such.
func decode24(dst []float32, src []byte) {
	const topThreeBytes = 0xFFFFFF00
	for len(dst) >= 8 && len(src) >= 24 {
		a := binary.LittleEndian.Uint64(src)
		b := binary.LittleEndian.Uint64(src[8:])
		c := binary.LittleEndian.Uint64(src[16:])
		dst[0] = float32(int32(uint32(a<<8))) * scale32
		dst[1] = float32(int32(uint32(a>>16)&topThreeBytes)) * scale32
		dst[2] = float32(int32(uint32(a>>40)&topThreeBytes|uint32(b)<<24)) * scale32
		dst[3] = float32(int32(uint32(b)&topThreeBytes)) * scale32
		dst[4] = float32(int32(uint32(b>>24)&topThreeBytes)) * scale32
		dst[5] = float32(int32(uint32(b>>56)<<8|uint32(c)<<16)) * scale32
		dst[6] = float32(int32(uint32(c>>8)&topThreeBytes)) * scale32
		dst[7] = float32(int32(uint32(c>>32)&topThreeBytes)) * scale32
		dst, src = dst[8:], src[24:]
	}
	for i := range dst {
		s := src[3*i : 3*i+3]
		dst[i] = float32(int32(uint32(s[0])<<8|uint32(s[1])<<16|uint32(s[2])<<24)) * scale32
	}
}

// decode32 and decodeFloat32 go in steps of four to spare a bounds check a sample.
func decode32(dst []float32, src []byte) {
	for len(dst) >= 4 && len(src) >= 16 {
		dst[0] = float32(int32(binary.LittleEndian.Uint32(src))) * scale32
		dst[1] = float32(int32(binary.LittleEndian.Uint32(src[4:]))) * scale32
		dst[2] = float32(int32(binary.LittleEndian.Uint32(src[8:]))) * scale32
		dst[3] = float32(int32(binary.LittleEndian.Uint32(src[12:]))) * scale32
		dst, src = dst[4:], src[16:]
	}
	for i := range dst {
		dst[i] = float32(int32(binary.LittleEndian.Uint32(src[4*i:]))) * scale32
	}
}

func decodeFloat32(dst []float32, src []byte) {
	for len(dst) >= 4 && len(src) >= 16 {
		dst[0] = math.Float32frombits(binary.LittleEndian.Uint32(src))
		dst[1] = math.Float32frombits(binary.LittleEndian.Uint32(src[4:]))
		dst[2] = math.Float32frombits(binary.LittleEndian.Uint32(src[8:]))
		dst[3] = math.Float32frombits(binary.LittleEndian.Uint32(src[12:]))
		dst, src = dst[4:], src[16:]
	}
	for i := range dst {
		dst[i] = math.Float32frombits(binary.LittleEndian.Uint32(src[4*i:]))
	}
}
