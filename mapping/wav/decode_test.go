// Decoding against the plain arithmetic, and the assembly against plain Go.

package wav

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func randomBytes(n int, seed uint64) []byte {
	source := rand.NewChaCha8([32]byte{byte(seed), byte(seed >> 8)})
	out := make([]byte, n)
	source.Read(out)
	return out
}

// reference is one sample by the definition: the integer over half its range, in float64.
func reference(src []byte, e Encoding) float64 {
	var word uint64
	for i := range e.Bytes() {
		word |= uint64(src[i]) << (8 * i)
	}
	switch e {
	case Uint8:
		return (float64(word) - 128) / 128
	case Float32:
		return float64(math.Float32frombits(uint32(word)))
	case Float64:
		return math.Float64frombits(word)
	}
	bits := 8 * e.Bytes()
	return float64(int64(word<<(64-bits))>>(64-bits)) / math.Pow(2, float64(bits-1))
}

// Every remainder of the loops' steps, every alignment, every encoding, both ways: the same bits
// as the reference rounded to 32-bit float, and nothing written beyond dst.
func TestDecodeMatchesReference(t *testing.T) {
	decoders := map[string]func([]float32, []byte, Encoding){"Decode": Decode, "DecodePortable": DecodePortable}
	for e := Uint8; e <= Float64; e++ {
		src := randomBytes(200*e.Bytes()+3, uint64(e))
		for name, decode := range decoders {
			for n := range 131 {
				shift := n % 4
				got := make([]float32, n+1)
				got[n] = 123
				decode(got[:n], src[shift:shift+n*e.Bytes()], e)
				for i := range n {
					want := float32(reference(src[shift+i*e.Bytes():], e))
					if math.Float32bits(got[i]) != math.Float32bits(want) && !(got[i] != got[i] && want != want) {
						t.Fatalf("%s %v, %d samples: sample %d is %v, want %v", name, e, n, i, got[i], want)
					}
				}
				if got[n] != 123 {
					t.Fatalf("%s %v, %d samples: one more was written", name, e, n)
				}
			}
		}
	}
}

// The values everyone knows: silence, the ends of the range, one step.
func TestDecodeFullScale(t *testing.T) {
	for _, c := range []struct {
		e    Encoding
		src  []byte
		want []float32
	}{
		{Uint8, []byte{128, 0, 255, 129}, []float32{0, -1, 127. / 128, 1. / 128}},
		{Int16, le(int16(0), int16(-32768), int16(32767), int16(1)), []float32{0, -1, 32767. / 32768, 1. / 32768}},
		{Int24, le("\x00\x00\x00\x00\x00\x80\xff\xff\x7f\x01\x00\x00"),
			[]float32{0, -1, 8388607. / 8388608, 1. / 8388608}},
		{Int32, le(int32(0), int32(math.MinInt32), int32(1<<30), int32(1)), []float32{0, -1, 0.5, 1. / (1 << 31)}},
		{Float32, le(float32(0), float32(-1), float32(1.5)), []float32{0, -1, 1.5}},
		{Float64, le(0.0, -1.0, 0.1), []float32{0, -1, 0.1}},
	} {
		got := make([]float32, len(c.want))
		Decode(got, c.src, c.e)
		if fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%v: got %v, want %v", c.e, got, c.want)
		}
	}
}

func TestDecodeRefusesTooShortASource(t *testing.T) {
	for e := Uint8; e <= MuLaw; e++ {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%v: decoding 64 samples from one byte too few did not panic", e)
				}
			}()
			short := make([]byte, 64*e.Bytes()-1)
			Decode(make([]float32, 64), short[:len(short):len(short)], e)
		}()
	}
}
