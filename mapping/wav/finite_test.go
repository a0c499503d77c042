// Not-a-number and infinity are found wherever they stand, and nothing else is taken for them.

package wav

import (
	"math"
	"testing"
)

func TestFirstNotFinite(t *testing.T) {
	finite := []float32{0, float32(math.Copysign(0, -1)), 1, -1, math.MaxFloat32, -math.MaxFloat32,
		math.SmallestNonzeroFloat32}
	bad := []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1)),
		math.Float32frombits(0x7F800001), math.Float32frombits(0xFFFFFFFF)}
	for n := range 20 {
		samples := make([]float32, n)
		for i := range samples {
			samples[i] = finite[i%len(finite)]
		}
		if at := firstNotFinite(samples); at != -1 {
			t.Errorf("%v: sample %d is taken for not finite", samples, at)
		}
		for i := range samples {
			for _, v := range bad {
				was := samples[i]
				samples[i] = v
				if at := firstNotFinite(samples); at != i {
					t.Errorf("%v at %d of %d samples: found at %d", v, i, n, at)
				}
				samples[i] = was
			}
		}
	}
}
