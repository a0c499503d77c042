// A-law and µ-law against the tables of ITU-T G.711.

package wav

import "testing"

// The ends of the eight segments' first and last intervals, positive side: decoder output values y of
// G.711, tables 1a (A-law, of 4096) and 2a (µ-law, of 8192 as decoders scale it; the virtual decision value is 8159).
func TestCompandingTables(t *testing.T) {
	for name, c := range map[string]struct {
		encoding Encoding
		full     float32
		bytes    string
		want     []float32
	}{
		// character signals with the even bits inverted: 11010101 is value 1
		"A-law": {ALaw, 4096, "\xd5\xd4\xda\xc5\xca\xf5\xfa\xe5\x95\x85\xb5\xa5\xaa",
			[]float32{1, 3, 31, 33, 63, 66, 126, 132, 264, 528, 1056, 2112, 4032}},
		"µ-law": {MuLaw, 8192, "\xff\xfe\xf0\xef\xe0\xdf\xd0\xcf\xbf\xaf\x9f\x8f\x80",
			[]float32{0, 2, 30, 33, 93, 99, 219, 231, 495, 1023, 2079, 4191, 8031}},
	} {
		got := make([]float32, len(c.want))
		Decode(got, []byte(c.bytes), c.encoding)
		for i := range got {
			if got[i] != c.want[i]/c.full {
				t.Errorf("%s, byte %02x: %v of %v, want %v", name, c.bytes[i], got[i]*c.full, c.full, c.want[i])
			}
		}
		for code := range 128 { // the sign is the highest bit
			Decode(got[:2], []byte{byte(code), byte(code) | 0x80}, c.encoding)
			if got[0] != -got[1] || got[0] > 0 {
				t.Errorf("%s: bytes %02x and %02x give %v and %v", name, code, code|0x80, got[0], got[1])
			}
		}
	}
}
