// How one sample is stored in the data chunk.

package wav

import "fmt"

// Encoding is the storage of one sample: little-endian, integers left-justified in their bytes.
type Encoding int

const (
	Uint8   Encoding = iota // offset binary, 128 is silence
	Int16                   // two's complement from here on
	Int24                   // packed in three bytes
	Int32                   // also 24 valid bits in a container of four bytes
	Float32                 // IEEE 754, full scale ±1
	Float64
	ALaw  // ITU-T G.711, one byte a sample; 13 bits of range
	MuLaw // ITU-T G.711, one byte a sample; 14 bits of range
)

var encodings = [...]struct {
	name  string
	bytes int
}{
	Uint8:   {"8-bit unsigned integer", 1},
	Int16:   {"16-bit integer", 2},
	Int24:   {"24-bit integer", 3},
	Int32:   {"32-bit integer", 4},
	Float32: {"32-bit float", 4},
	Float64: {"64-bit float", 8},
	ALaw:    {"8-bit A-law", 1},
	MuLaw:   {"8-bit µ-law", 1},
}

// String names the encoding, such as "24-bit integer".
func (e Encoding) String() string {
	if e < 0 || int(e) >= len(encodings) {
		return fmt.Sprintf("unknown encoding %d", int(e))
	}
	return encodings[e].name
}

// Bytes is the size of one sample of one channel. It panics for a value that is none of the above.
func (e Encoding) Bytes() int { return encodings[e].bytes }

// IsFloat tells whether samples are floats, which can be NaN or infinite.
func (e Encoding) IsFloat() bool { return e == Float32 || e == Float64 }
