package sound_test

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// A tone lies where Glasberg & Moore (1990) have it: 1 kHz at ERB number 15.6, 4 kHz at 27.1 (from memory). Of two
// tones the centre is half-way where they are equal, and moves towards the stronger by power^0.3: of two 10 dB apart,
// 1 to 0.501 (Stevens 1957).
func TestCentreERB(t *testing.T) {
	of := func(powers map[float64]float64) float64 {
		bands := make([]float64, 400) // a tenth of an ERB each
		for hz, power := range powers {
			bands[int(10*sound.ERBNumber(hz))] = power
		}
		return sound.CentreERB(bands, 10)
	}
	for _, c := range []struct {
		what   string
		powers map[float64]float64
		want   float64
	}{
		{"1 kHz", map[float64]float64{1000: 0.5}, 15.6},
		{"4 kHz, softly", map[float64]float64{4000: 1e-9}, 27.1},
		{"both alike", map[float64]float64{1000: 0.5, 4000: 0.5}, 21.35},
		{"the higher 10 dB softer", map[float64]float64{1000: 0.5, 4000: 0.05}, 15.6 + 11.5*0.501/1.501},
		{"silence", nil, 0},
	} {
		if got := c.want - of(c.powers); math.Abs(got) > 0.1 {
			t.Errorf("%s: off by %.2f of %.2f", c.what, got, c.want)
		}
	}
}
