// Noise floors that are known because the noise was put there.

package measure

import (
	"math"
	"testing"

	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

func TestNoiseFloorFromPauses(t *testing.T) {
	t.Parallel()
	for _, snrDB := range []float64{50, 30, 20, 10} {
		good, all := 0, 0
		for _, l := range leadIns(t, snrDB, "piano", "guitar-acoustic", "flute", "bassoon", "misc") {
			m := withoutPitch(l.sound)
			all++
			if testsound.Within(m.NoiseFloorDBFS, l.floorDBFS, 2) {
				good++
			} else {
				t.Logf("%s of %.1f dBFS: found %.1f", l.name, l.floorDBFS, m.NoiseFloorDBFS)
			}
		}
		t.Logf("SNR %.0f dB: %d of %d floors within 2 dB", snrDB, good, all)
		if float64(good) < 0.95*float64(all) {
			t.Errorf("SNR %.0f dB: %d of %d floors within 2 dB", snrDB, good, all)
		}
	}
}

// Held notes without any pause, cut out of recordings: the noise is looked for between the partials.
func TestNoiseFloorBetweenPartials(t *testing.T) {
	t.Parallel()
	for _, snrDB := range []float64{30, 20, 10} {
		good, all := 0, 0
		for i, r := range testtakes.In(t, "flute", "bassoon") {
			note := r.Sound.Mono()
			note = note[r.Sound.RateHz/2 : len(note)-r.Sound.RateHz/10]
			floor := rmsDB(note) - snrDB
			m := withoutPitch(testtakes.Mono(r.Sound.RateHz,
				testsound.Summed(note, testsound.NoiseWave(testsound.White, r.Sound.RateHz, len(note),
					floor, uint64(i)))))
			all++
			if testsound.Within(m.NoiseFloorDBFS, floor, 2) {
				good++
			} else {
				t.Logf("%s, noise of %.1f dBFS: found %.1f (pauses %v)", r.Name, floor, m.NoiseFloorDBFS,
					m.NoiseFromPauses)
			}
		}
		if float64(good) < 0.9*float64(all) {
			t.Errorf("SNR %.0f dB: %d of %d floors within 2 dB", snrDB, good, all)
		}
	}
}

func TestSNR(t *testing.T) {
	t.Parallel()
	tone := testsound.Delayed(24000, testsound.SineWave(48000, 500, -20, 2)) // −23.01 dBFS RMS
	m := withoutPitch(testtakes.Mono(48000, testsound.Summed(tone,
		testsound.NoiseWave(testsound.White, 48000, len(tone), -60, 1))))
	if !testsound.Within(m.SNRDB, 37, 0.5) || !m.NoiseFromPauses {
		t.Errorf("SNR %.2f dB (pauses: %v), want 37 from pauses", m.SNRDB, m.NoiseFromPauses)
	}
}

// Padding is not the noise of the room.
func TestDigitalSilenceIsNoFloor(t *testing.T) {
	t.Parallel()
	note := testsound.Summed(testsound.HarmonicWave(48000, 220, 2),
		testsound.NoiseWave(testsound.White, 48000, 96000, -50, 1))
	m := withoutPitch(testtakes.Mono(48000, testsound.Delayed(48000, note)))
	if m.NoiseFromPauses || !testsound.Within(m.NoiseFloorDBFS, -50, 2) || math.IsInf(m.SNRDB, 0) {
		t.Errorf("floor %.1f dBFS (pauses: %v), want −50 from between the partials", m.NoiseFloorDBFS,
			m.NoiseFromPauses)
	}
}
