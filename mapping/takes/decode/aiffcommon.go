// AIFF's COMM chunk: how the samples are stored.

package decode

import (
	"encoding/binary"
	"fmt"
	"math"

	"lapstrake/mapping/wav"
)

// aiffCommon is the content of COMM.
type aiffCommon struct {
	channels int
	frames   int64 // as declared
	bits     int
	rateHz   int
	storage  aiffStorage
}

// aiffStorage is how the bytes of a sample become those of mapping/wav's encoding.
type aiffStorage struct {
	encoding  wav.Encoding
	bigEndian bool
	signed8   bool // bytes of two's complement, where WAV has offset binary
}

func (c *aiffCommon) frameBytes() int64 { return int64(c.channels * c.storage.encoding.Bytes()) }

// readCommon reads channels (16 bits), frames (32), bits a sample (16), the rate (80) and, in AIFF-C, the
// compression's name (32).
func (f *aiff) readCommon(c aiffChunk) (*aiffCommon, error) {
	const plainBytes, compressedBytes = 18, 22
	size := int64(plainBytes)
	if f.compressed {
		size = compressedBytes
	}
	if c.sizeBytes < size || c.at > f.in.size-size {
		return nil, f.formatError(c, -4, fmt.Sprintf("a size of %d bytes, %d before the end of the file", c.sizeBytes,
			max(0, f.in.size-c.at)), fmt.Sprintf("%d or more", size), aiffFetchMend)
	}
	body := make([]byte, size)
	if err := f.readAt(body, c.at); err != nil {
		return nil, err
	}
	common := &aiffCommon{
		channels: int(binary.BigEndian.Uint16(body)), frames: int64(binary.BigEndian.Uint32(body[2:])),
		bits: int(binary.BigEndian.Uint16(body[6:])), rateHz: rateOf(body[8:18]),
	}
	if err := checkForm(f.in.path, common.channels, common.rateHz); err != nil {
		return nil, err
	}
	compression := "NONE"
	if f.compressed {
		compression = string(body[18:22])
	}
	return common, f.setStorage(c, common, compression)
}

// setStorage knows the uncompressed kinds of AIFF-C and those that Apple's Sound Manager and QuickTime added.
// Integers stand left-justified in the least whole number of bytes (AIFF 1.3, Sample Points).
func (f *aiff) setStorage(c aiffChunk, common *aiffCommon, compression string) error {
	bytes := (common.bits + 7) / 8
	switch compression {
	case "NONE", "twos", "sowt":
		if bytes < 1 || bytes > 4 {
			return f.formatError(c, 6, fmt.Sprintf("integers of %d bits", common.bits), "1 to 32", aiffConvertMend)
		}
		common.storage = aiffStorage{wav.Uint8 + wav.Encoding(bytes-1), compression != "sowt", bytes == 1}
	case "raw ":
		common.bits, common.storage = 8, aiffStorage{wav.Uint8, false, false}
	case "in24":
		common.bits, common.storage = 24, aiffStorage{wav.Int24, true, false}
	case "in32":
		common.bits, common.storage = 32, aiffStorage{wav.Int32, true, false}
	case "42ni": // in24 backwards: little-endian, as the sample is
		common.bits, common.storage = 24, aiffStorage{wav.Int24, false, false}
	case "23ni":
		common.bits, common.storage = 32, aiffStorage{wav.Int32, false, false}
	case "fl32", "FL32":
		common.bits, common.storage = 32, aiffStorage{wav.Float32, true, false}
	case "fl64", "FL64":
		common.bits, common.storage = 64, aiffStorage{wav.Float64, true, false}
	case "alaw", "ALAW":
		common.bits, common.storage = 8, aiffStorage{wav.ALaw, false, false}
	case "ulaw", "ULAW":
		common.bits, common.storage = 8, aiffStorage{wav.MuLaw, false, false}
	default:
		return f.formatError(c, 18, fmt.Sprintf("sound compressed as %q", compression),
			"NONE, twos, sowt, raw, in24, in32, 42ni, 23ni, fl32, fl64, alaw or ulaw", aiffConvertMend)
	}
	return nil
}

// rateOf reads an 80-bit extended number (IEEE 754-1985, double extended, as in the Apple Numerics Manual): a sign, 15
// bits of exponent with bias 16383, 64 bits of mantissa with its 1 written out. Old recorders ran at rates such as
// 22254.5454 Hz: they are rounded, an error of less than a tenth of a cent. It gives 0 for what is no rate.
func rateOf(b []byte) int {
	exponent := int(binary.BigEndian.Uint16(b)) // a set sign makes it too large
	rateHz := math.Ldexp(float64(binary.BigEndian.Uint64(b[2:])), exponent-16383-63)
	if rateHz > maxRateHz+1 {
		return 0
	}
	return int(math.Round(rateHz))
}
