// Attack, decay, steadiness and kind of sounds made to have them, and of recordings.

package takes

import (
	"math"
	"testing"
)

// shaped is a harmonic sound with a level in decibels over time.
func shaped(hz, sec float64, levelDB func(sec float64) float64) *Sound {
	x := harmonicWave(48000, hz, sec)
	for i := range x {
		x[i] *= float32(0.3 * math.Pow(10, levelDB(float64(i)/48000)/20))
	}
	samples := delayed(12000, x)
	return monoSound(48000, summed(samples, noiseWave(white, 48000, len(samples), -85, 1)))
}

func TestDecayAndKind(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		decay float64
		want  Kind
	}{{60, Struck}, {20, Struck}, {6, Struck}, {0, Held}, {0.5, Held}} {
		for _, hz := range []float64{65, 262, 1047} {
			m := Measure(shaped(hz, 3, func(sec float64) float64 { return -test.decay * sec }))
			if !within(m.DecayDBPerS, test.decay, 0.05*test.decay+0.3) || m.SteadinessDB > 1 {
				t.Errorf("%.0f Hz falling by %.1f dB/s: measured %.2f, spread %.2f dB", hz, test.decay, m.DecayDBPerS, m.SteadinessDB)
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
		m := Measure(shaped(330, 3, func(sec float64) float64 { return 20 * math.Log10(min(1, sec/attack)+1e-9) }))
		// The level is 3 dB under the highest at 0.708 of a linear rise.
		if !within(m.AttackSec, 0.708*attack, 0.015) {
			t.Errorf("linear rise of %.2f s: attack %.3f s, want %.3f", attack, m.AttackSec, 0.708*attack)
		}
	}
}

func TestSteadiness(t *testing.T) {
	t.Parallel()
	// A tremolo of ±4 dB has a spread of 4/√2 dB.
	m := Measure(shaped(330, 4, func(sec float64) float64 { return 4 * math.Sin(2*math.Pi*2*sec) }))
	if !within(m.SteadinessDB, 2.83, 0.5) || !within(m.DecayDBPerS, 0, 0.6) {
		t.Errorf("tremolo: spread %.2f dB, decay %.2f dB/s, want 2.83 and 0", m.SteadinessDB, m.DecayDBPerS)
	}
}

// Pianos and guitars are struck, winds are held; hiss, a scratch and a snap have no pitch.
func TestKindOfRecordings(t *testing.T) {
	t.Parallel()
	wrong, all := 0, 0
	check := func(r recording, want Kind) {
		all++
		if m := Measure(r.sound); m.Kind != want {
			wrong++
			t.Logf("%s: %s, want %s (attack %.3f s, decay %.1f dB/s, noisiness %.2f, pitch %.2f)", r.name, m.Kind, want,
				m.AttackSec, m.DecayDBPerS, m.Noisiness, m.Pitch.Confidence)
		}
	}
	for _, r := range recordedIn(t, "piano", "guitar-acoustic") {
		check(r, Struck)
	}
	for _, r := range recordedIn(t, "flute", "bassoon") {
		check(r, Held)
	}
	kinds := map[string]Kind{
		"misc/vinyl_hiss.flac": Noisy, "misc/vinyl_scratch.flac": Noisy, "misc/perc_snap.flac": Noisy, "misc/drum_roll.flac": Noisy,
		"misc/perc_swash.flac": Noisy, "misc/drum_cowbell.flac": Struck, "misc/elec_bell.flac": Struck, "misc/perc_bell.flac": Struck,
		"misc/tabla_tun1.flac": Struck, "misc/ambi_choir.flac": Held, "misc/ambi_glass_hum.flac": Held, "misc/bass_woodsy_c.flac": Held,
	}
	for _, r := range recordedIn(t, "misc") {
		if want, known := kinds[r.name]; known {
			check(r, want)
		}
	}
	if wrong > all/20 {
		t.Errorf("%d of %d kinds wrong", wrong, all)
	}
}
