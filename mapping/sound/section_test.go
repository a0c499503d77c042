// The high-pass against Butterworth's formula, and the sections' response against what they do to a sine.

package sound

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping/testsound"
)

// The sections together have the magnitude of the Butterworth formula, 1/√(1 + (cut/f)^2n), frequencies warped by the
// bilinear transform (Oppenheim & Schafer, 7.1).
func TestButterworthMagnitude(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		order := rapid.IntRange(1, 12).Draw(t, "order")
		cut := rapid.Float64Range(0.0002, 0.2).Draw(t, "cut")
		f := cut * rapid.Float64Range(0.3, 2.4).Draw(t, "ratio")
		gain := 1.0
		for _, s := range ButterworthHighPass(cut, order) {
			gain *= s.PowerGain(f)
		}
		ratio := math.Tan(math.Pi*cut) / math.Tan(math.Pi*f)
		if offDB := PowerDB(gain * (1 + math.Pow(ratio, 2*float64(order)))); math.Abs(offDB) > 0.02 {
			t.Fatalf("%.3f dB off", offDB)
		}
	})
}

func TestSectionDoesWhatItsResponseSays(t *testing.T) {
	t.Parallel()
	const rateHz = 48000
	for _, hz := range []float64{40, 90, 110, 1000, 15000} {
		samples := testsound.SineWave(rateHz, hz, 0, 2)
		want := 1.0
		for _, s := range ButterworthHighPass(100./rateHz, 4) {
			s.Filter(samples)
			want *= s.PowerGain(hz / rateHz)
		}
		gotDB := PowerDB(2 * MeanSquare(samples[rateHz:])) // the first second settles
		if wantDB := PowerDB(want); !testsound.Within(gotDB, wantDB, 0.02) {
			t.Errorf("%v Hz: %.3f dB, want %.3f", hz, gotDB, wantDB)
		}
	}
}
