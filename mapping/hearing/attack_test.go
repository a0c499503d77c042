package hearing_test

import (
	"math"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/testsound"
)

// Sounds whose attack follows from their envelope: of a level that rises evenly over T, 0.8·T lie between its first
// and its ninth tenth; of a raised cosine 0.59·T (arccos(0.8)/π of it lie before the first, and as much after the
// ninth).
func TestAttackIsKnown(t *testing.T) {
	const rateHz = 48000
	even := func(sec float64) float64 { return min(sec, 1) }
	raised := func(sec float64) float64 { return (1 - math.Cos(math.Pi*min(sec, 1))) / 2 }
	noise := testsound.NoiseWave(testsound.White, rateHz, 2*rateHz, -20, 5)
	waves := map[string]func(i int) float64{
		"110 Hz":  func(i int) float64 { return math.Sin(2 * math.Pi * 110 * float64(i) / rateHz) },
		"1000 Hz": func(i int) float64 { return math.Sin(2 * math.Pi * 1000 * float64(i) / rateHz) },
		"noise":   func(i int) float64 { return float64(noise[i]) },
	}
	for name, wave := range waves {
		for _, c := range []struct {
			name         string
			envelope     func(sec float64) float64 // of seconds from the key's press
			sec, withinS float64
		}{
			{"even, 0.1 s", func(sec float64) float64 { return even(sec / 0.1) }, 0.08, 0.005},
			{"even, 0.2 s", func(sec float64) float64 { return even(sec / 0.2) }, 0.16, 0.008},
			{"even, 0.6 s", func(sec float64) float64 { return even(sec / 0.6) }, 0.48, 0.02},
			{"even, 0.2 s, after 0.3 s of silence", func(sec float64) float64 { return even(max(sec-0.3, 0) / 0.2) },
				0.16, 0.008},
			{"raised cosine, 0.4 s", func(sec float64) float64 { return raised(sec / 0.4) }, 0.236, 0.012},
			// Eight tenths of the level in 0.1 s, the rest in 0.8 s: from the first tenth to the eighth lie 7/8 of 0.1
			// s.
			{"quick, then a swell", func(sec float64) float64 {
				return 0.8*even(sec/0.1) + 0.2*even(max(sec-0.1, 0)/0.8)
			}, 0.0875, 0.008},
			{"at once, then a decay", func(sec float64) float64 { return math.Exp(-3 * sec) }, 0.013, 0.004},
		} {
			if name == "noise" && c.name == "quick, then a swell" {
				continue // where its own ups and downs are as large as the swell
			}
			frames := make([]float32, 2*rateHz)
			for i := range rateHz {
				v := float32(0.3 * c.envelope(float64(i)/rateHz) * wave(i))
				frames[2*i], frames[2*i+1] = v, -v
			}
			got := hearing.AttackSec(frames, rateHz)
			t.Logf("%s, %s: %.1f ms, want %.1f", name, c.name, 1000*got, 1000*c.sec)
			within := c.withinS
			if name == "noise" {
				within = 0.3 * c.sec // its level comes and goes by itself
			}
			if math.Abs(got-c.sec) > within {
				t.Errorf("%s, %s: sets in within %.1f ms, want %.1f within %.1f", name, c.name, 1000*got,
					1000*c.sec, 1000*within)
			}
		}
	}
	if got := hearing.AttackSec(make([]float32, 2*rateHz), rateHz); !math.IsNaN(got) {
		t.Errorf("silence sets in within %v s", got)
	}
}
