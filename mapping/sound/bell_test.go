package sound

import (
	"math"
	"testing"
)

// A bell has its level in its middle, half of it at both edges of its width, and none at the ends of the spectrum
// (Audio EQ Cookbook, W3C Working Group Note 2021: there the width of a digital section shrinks toward half the rate,
// so the edges are looked at far below that).
func TestBell(t *testing.T) {
	for _, db := range []float64{-9, 3, 6} {
		const middle, q = 0.01, 2.5
		s := Bell(middle, q, db)
		low := middle * (math.Sqrt(1+1/(4*q*q)) - 1/(2*q))
		for _, at := range []struct{ cycles, db float64 }{
			{middle, db}, {low, db / 2}, {low + middle/q, db / 2}, {1e-6, 0}, {0.4999, 0},
		} {
			if got := PowerDB(s.PowerGain(at.cycles)); math.Abs(got-at.db) > 0.02 {
				t.Errorf("a bell of %g dB: %.3f dB at %g cycles a frame, want %.3f", db, got, at.cycles, at.db)
			}
		}
	}
}
