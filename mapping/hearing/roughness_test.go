package hearing_test

import (
	"math"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
)

// criticalHz is the critical bandwidth around a frequency (Zwicker & Terhardt, J. Acoust. Soc. Am. 68, 1980; formula
// from memory).
func criticalHz(hz float64) float64 { return 25 + 75*math.Pow(1+1.4*hz*hz/1e6, 0.69) }

// Plomp & Levelt (1965): two tones are roughest at about a quarter of the critical bandwidth, and not rough when they
// are one, or from 1.2 critical bandwidths on; the parametrisation, which never ends, is under a tenth of its top
// there.
func TestRoughnessIsPlompAndLevelts(t *testing.T) {
	for _, hz := range []float64{125, 250, 500, 1000} {
		top, at := 0.0, 0.0
		for apart := 0.0; apart < 2; apart += 0.001 {
			if r := hearing.Roughness(hz, hz+apart*criticalHz(hz)); r > top {
				top, at = r, apart
			}
		}
		if math.Abs(top-1) > 1e-4 || at < 0.19 || at > 0.29 {
			t.Errorf("%v Hz: roughest, %.3f, at %.3f of the critical bandwidth; want 1 at about a quarter", hz, top,
				at)
		}
		for apart := 1.2; apart < 3; apart += 0.1 {
			if r := hearing.Roughness(hz, hz+apart*criticalHz(hz)); r > 0.1 {
				t.Errorf("%v Hz: %.3f at %.1f critical bandwidths, want none", hz, r, apart)
			}
		}
		if r := hearing.Roughness(hz, hz); r != 0 {
			t.Errorf("%v Hz: a tone is rough by %v against itself", hz, r)
		}
	}
}

// A note on its own harmonics is smooth against them, the same note a semitone off is rough, and a fifth lies between:
// the order of Plomp & Levelt's figure of intervals between harmonic tones.
func TestIntervalsInTheirOrder(t *testing.T) {
	rootHz := sound.KeyHz(60)
	rough := func(ratio float64) float64 {
		var tones []hearing.Tone
		for n := 1.0; n <= 6; n++ {
			tones = append(tones, hearing.Tone{Hz: n * ratio * rootHz, Power: 0.01 / n / n})
		}
		return onGrid(sines(2, tones...), rootHz).Roughness
	}
	unison, fifth, third, semitone := rough(1), rough(3.0/2), rough(6.0/5), rough(math.Exp2(1.0/12))
	if !(unison < 0.1 && unison < fifth && fifth < third && third < semitone) {
		t.Errorf("unison %.2f, fifth %.2f, minor third %.2f, semitone %.2f", unison, fifth, third, semitone)
	}
}
