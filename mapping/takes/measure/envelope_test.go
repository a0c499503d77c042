// Attack, decay, steadiness and kind of sounds made to have them, and of recordings.

package measure

import (
	"math"
	"testing"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// shaped is a harmonic sound with a level in decibels over time.
func shaped(hz, sec float64, levelDB func(sec float64) float64) *decode.Sound {
	x := testsound.HarmonicWave(48000, hz, sec)
	for i := range x {
		x[i] *= float32(0.3 * math.Pow(10, levelDB(float64(i)/48000)/20))
	}
	samples := testsound.Delayed(12000, x)
	return testtakes.Mono(48000, testsound.Summed(samples,
		testsound.NoiseWave(testsound.White, 48000, len(samples), -85, 1)))
}

func TestDecayAndKind(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		decay float64
		want  Kind
	}{{60, Struck}, {20, Struck}, {6, Struck}, {0, Held}, {0.5, Held}} {
		for _, hz := range []float64{65, 262, 1047} {
			m := Take(shaped(hz, 3, func(sec float64) float64 { return -test.decay * sec }))
			if !testsound.Within(m.DecayDBPerS, test.decay, 0.05*test.decay+0.3) || m.SteadinessDB > 1 {
				t.Errorf("%.0f Hz falling by %.1f dB/s: measured %.2f, spread %.2f dB", hz, test.decay,
					m.DecayDBPerS, m.SteadinessDB)
			}
			if m.Kind != test.want {
				t.Errorf("%.0f Hz falling by %.1f dB/s: %s, want %s", hz, test.decay, m.Kind, test.want)
			}
		}
	}
}

func TestAttack(t *testing.T) {
	t.Parallel()
	for _, attack := range []float64{0.05, 0.2, 0.6} {
		m := Take(shaped(330, 3, func(sec float64) float64 { return 20 * math.Log10(min(1, sec/attack)+1e-9) }))
		// The level is 3 dB under the highest at 0.708 of a linear rise.
		if !testsound.Within(m.AttackSec, 0.708*attack, 0.015) {
			t.Errorf("linear rise of %.2f s: attack %.3f s, want %.3f", attack, m.AttackSec, 0.708*attack)
		}
	}
}

func TestSteadiness(t *testing.T) {
	t.Parallel()
	// A tremolo of ±4 dB has a spread of 4/√2 dB.
	m := Take(shaped(330, 4, func(sec float64) float64 { return 4 * math.Sin(2*math.Pi*2*sec) }))
	if !testsound.Within(m.SteadinessDB, 2.83, 0.5) || !testsound.Within(m.DecayDBPerS, 0, 0.6) {
		t.Errorf("tremolo: spread %.2f dB, decay %.2f dB/s, want 2.83 and 0", m.SteadinessDB, m.DecayDBPerS)
	}
}

// Pianos and guitars are struck, winds are held; hiss, a scratch and a snap have no pitch.
func TestKindOfRecordings(t *testing.T) {
	t.Parallel()
	wrong, all := 0, 0
	check := func(r testtakes.Recording, want Kind) {
		all++
		if m := Take(r.Sound); m.Kind != want {
			wrong++
			t.Logf("%s: %s, want %s (attack %.3f s, decay %.1f dB/s, noisiness %.2f, pitch %.2f)",
				r.Name, m.Kind, want, m.AttackSec, m.DecayDBPerS, m.Noisiness, m.Pitch.Confidence)
		}
	}
	for _, r := range testtakes.In(t, "piano", "guitar-acoustic") {
		check(r, Struck)
	}
	for _, r := range testtakes.In(t, "flute", "bassoon") {
		check(r, Held)
	}
	kinds := map[string]Kind{
		"misc/vinyl_hiss.flac": Noisy, "misc/vinyl_scratch.flac": Noisy, "misc/perc_snap.flac": Noisy,
		"misc/drum_roll.flac":  Noisy,
		"misc/perc_swash.flac": Noisy, "misc/drum_cowbell.flac": Struck, "misc/elec_bell.flac": Struck,
		"misc/perc_bell.flac":  Struck,
		"misc/tabla_tun1.flac": Struck, "misc/ambi_choir.flac": Held, "misc/ambi_glass_hum.flac": Held,
		"misc/bass_woodsy_c.flac": Held,
	}
	for _, r := range testtakes.In(t, "misc") {
		if want, known := kinds[r.Name]; known {
			check(r, want)
		}
	}
	if wrong > all/20 {
		t.Errorf("%d of %d kinds wrong", wrong, all)
	}
}
