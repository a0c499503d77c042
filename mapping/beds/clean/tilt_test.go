package clean

import (
	"math"
	"testing"

	"lapstrake/mapping/testsound"
)

// Each octave above the root is softer by what was asked for than the one below it, and the root stays.
func TestTiltFallsEvenly(t *testing.T) {
	const rateHz, rootHz = 48000, 110
	for _, slopeDB := range []float64{0, 1.5, 4} {
		for _, octave := range []float64{-1, 1, 2, 3, 4, 5, 6} {
			hz := rootHz * math.Exp2(octave)
			wave := testsound.SineWave(rateHz, hz, -6, 1)
			before := testsound.RMS(testsound.Middle(wave))
			tilt([][]float32{wave}, rateHz, rootHz, slopeDB)
			got := testsound.AmplitudeDB(testsound.RMS(testsound.Middle(wave)) / before)
			if want := -slopeDB * max(octave, 0); !testsound.Within(got, want, 0.4*slopeDB) {
				t.Errorf("%.0f Hz under %.1f dB an octave above %d Hz: %.2f dB, want %.2f", hz, slopeDB,
					rootHz, got, want)
			}
		}
	}
}
