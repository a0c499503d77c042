// True peaks.

package sound

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Looking only where a peak can hide finds what looking everywhere finds, at once and block by block.
func TestTruePeakMissesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float32Range(-1, 1), 0, 300).Draw(t, "samples")
		padded := make([]float64, len(x)+2*TruePeakTaps)
		want := 0.0
		for i, v := range x {
			padded[TruePeakTaps+i] = float64(v)
			want = max(want, math.Abs(float64(v)))
		}
		for i := range len(x) + TruePeakTaps {
			want = max(want, between((*[TruePeakTaps]float64)(padded[i:])))
		}
		if got := TruePeak(x); got != want {
			t.Fatalf("true peak %v, want %v", got, want)
		}
		var meter PeakMeter
		for rest := x; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "block")
			meter.Add(rest[:n])
			rest = rest[n:]
		}
		if got := meter.TruePeak(); got != want {
			t.Fatalf("true peak %v block by block, want %v", got, want)
		}
	})
}
