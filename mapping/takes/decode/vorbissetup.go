// Whether a Vorbis stream may be decoded: what its setup header says can cost the decoder any memory and time.

package decode

import (
	"math"
	"math/bits"
)

const (
	vorbisCodebookSync = 0x564342
	vorbisMostLength   = 32      // bits of a codeword
	vorbisMostValues   = 1 << 22 // of all codebooks together; encoders in use make some hundred thousand
)

// vorbisBits reads the bits of a Vorbis header, the lowest of each byte first (Vorbis I specification, 2.1).
type vorbisBits struct {
	data []byte
	at   int // bits; beyond the end there are zeros
}

func (b *vorbisBits) read(width int) (value int) {
	for i := range width {
		if byteAt := b.at >> 3; byteAt < len(b.data) {
			value |= int(b.data[byteAt]>>(b.at&7)&1) << i
		}
		b.at++
	}
	return value
}

// vorbisSetupFits walks through a setup header (Vorbis I specification, 4.2.4) as far as its residues. It tells
// whether the codebooks are whole, have dimensions and are no larger than encoders make them, and no residue ends
// before it begins: the decoder would go on for ever.
func vorbisSetupFits(packet []byte) bool {
	const headBytes = 7 // a type and "vorbis"
	b := &vorbisBits{data: packet[min(headBytes, len(packet)):]}
	values := 0
	for range b.read(8) + 1 {
		size, whole := b.codebook()
		if values += size; !whole || values > vorbisMostValues {
			return false
		}
	}
	b.at += 16 * (b.read(6) + 1) // time domain transforms, of which there are none
	for range b.read(6) + 1 {
		b.floor()
	}
	for range b.read(6) + 1 {
		if !b.residue() {
			return false
		}
	}
	return b.at <= 8*len(b.data)
}

// floor steps over one floor (Vorbis I specification, 6.2.1 and 7.2.2).
func (b *vorbisBits) floor() {
	if b.read(16) == 0 {
		b.at += 8 + 16 + 16 + 6 + 8
		b.at += 8 * (b.read(4) + 1)
		return
	}
	classes := make([]int, b.read(5)) // of each partition
	highest := -1
	for i := range classes {
		classes[i] = b.read(4)
		highest = max(highest, classes[i])
	}
	dimensions := make([]int, highest+1)
	for class := range dimensions {
		dimensions[class] = b.read(3) + 1
		subclassBits := b.read(2)
		if subclassBits > 0 {
			b.at += 8
		}
		b.at += 8 << subclassBits
	}
	b.at += 2
	rangeBits := b.read(4)
	for _, class := range classes {
		b.at += rangeBits * dimensions[class]
	}
}

// residue steps over one residue (Vorbis I specification, 8.6.1).
func (b *vorbisBits) residue() bool {
	b.at += 16
	begin, end := b.read(24), b.read(24)
	b.at += 24
	classifications := b.read(6) + 1
	b.at += 8
	books := 0
	for range classifications {
		cascade := b.read(3)
		if b.read(1) == 1 {
			cascade |= b.read(5) << 3
		}
		books += bits.OnesCount(uint(cascade))
	}
	b.at += 8 * books
	return begin <= end
}

// codebook steps over one codebook and gives how many numbers it holds.
func (b *vorbisBits) codebook() (values int, whole bool) {
	sync, dimensions, entries := b.read(24), b.read(16), b.read(24)
	if sync != vorbisCodebookSync || dimensions == 0 || entries == 0 || entries*(dimensions+1) > vorbisMostValues {
		return 0, false
	}
	if !b.lengths(entries) {
		return 0, false
	}
	switch lookup := b.read(4); lookup {
	case 0:
	case 1, 2:
		b.at += 32 + 32
		width := b.read(4) + 1
		b.at++
		each := entries * dimensions
		if lookup == 1 {
			each = int(math.Floor(math.Pow(float64(entries), 1/float64(dimensions))))
		}
		b.at += each * width
	default:
		return 0, false
	}
	return entries * (dimensions + 1), b.at <= 8*len(b.data)
}

// lengths steps over the lengths of the codewords.
func (b *vorbisBits) lengths(entries int) bool {
	if b.read(1) == 0 {
		sparse := b.read(1) == 1
		for range entries {
			if !sparse || b.read(1) == 1 {
				b.at += 5
			}
			if b.at > 8*len(b.data) {
				return false
			}
		}
		return true
	}
	length := b.read(5) + 1
	for at := 0; at < entries; length++ {
		at += b.read(bits.Len(uint(entries - at)))
		if length > vorbisMostLength || at > entries {
			return false
		}
	}
	return true
}
