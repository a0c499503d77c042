// Where sounds begin and end: recordings of known beginning after a lead-in of noise.

package measure

import (
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// leadIn is a recording after a lead-in, with noise all through.
type leadIn struct {
	name       string
	sound      *decode.Sound
	onsetSec   float64 // where the recording comes within 40 dB of its attack's highest level
	earlySec   float64 // within 50 dB
	emergesSec float64 // where its level reaches that of the noise, if that is later
	floorDBFS  float64
}

// leadIns puts a lead-in of 0.2 to 1.2 s before each recording and noise of three colours by turns under all of it,
// snrDB under the level (RMS) of the recording's first second.
func leadIns(t *testing.T, snrDB float64, folders ...string) (all []leadIn) {
	random := rand.New(rand.NewPCG(7, uint64(snrDB)))
	for i, r := range testtakes.In(t, folders...) {
		rateHz, note := r.Sound.RateHz, r.Sound.Mono()
		lead := int((0.2 + random.Float64()) * float64(rateHz))
		begins := cleanStart(note, rateHz, 40)
		floor := rmsDB(note[begins:min(len(note), begins+rateHz)]) - snrDB
		samples := testsound.Delayed(lead, note)
		kind := []testsound.NoiseKind{testsound.White, testsound.Reddish, testsound.Humming}[i%3]
		samples = testsound.Summed(samples, testsound.NoiseWave(kind, rateHz, len(samples), floor, uint64(i)))
		sec := func(frame int) float64 { return float64(lead+frame) / float64(rateHz) }
		all = append(all, leadIn{
			name: r.Name + " in " + string(kind) + " noise", sound: testtakes.Mono(rateHz, samples), floorDBFS: floor,
			onsetSec: sec(begins), earlySec: sec(cleanStart(note, rateHz, 50)),
			emergesSec: sec(max(begins, cleanStart(note, rateHz, highestAttackDB(note, rateHz)-floor))),
		})
	}
	return all
}

// A struck or plucked note rises by 40 dB within 10 ms. Its onset is found within 10 ms in at least 95 of 100 cases.
func TestOnsetAfterLeadIn(t *testing.T) {
	t.Parallel()
	good, all := 0, 0
	for _, snrDB := range []float64{60, 50, 40, 30, 20} {
		for _, l := range leadIns(t, snrDB, "piano", "guitar-acoustic") {
			sec := onsetSec(l.sound)
			all++
			if testsound.Within(sec, l.onsetSec, 0.010) {
				good++
			} else {
				t.Logf("%s %.0f dB under it: onset %+.0f ms off", l.name, snrDB, 1000*(sec-l.onsetSec))
			}
		}
	}
	t.Logf("%d of %d onsets within 10 ms", good, all)
	if float64(good) < 0.95*float64(all) {
		t.Errorf("%d of %d onsets within 10 ms", good, all)
	}
}

// A blown note takes up to 0.2 s to rise by 40 dB, and nobody hears it before it is as loud as what the noise leaves
// of it. Its onset is found between where it begins and where it emerges from the noise; within 10 ms of where it
// begins in at least 95 of 100 cases where the noise does not hide that.
func TestSlowOnsetAfterLeadIn(t *testing.T) {
	t.Parallel()
	good, all, exactInQuiet, inQuiet := 0, 0, 0, 0
	for _, snrDB := range []float64{60, 50, 40, 30, 20, 10} {
		exact, some := 0, 0
		for _, l := range leadIns(t, snrDB, "flute", "bassoon") {
			sec := onsetSec(l.sound)
			some++
			if testsound.Within(sec, l.onsetSec, 0.010) {
				exact++
			}
			if sec > l.earlySec-0.010 && sec < l.emergesSec+0.010 {
				good++
			} else {
				t.Logf("%s %.0f dB under it: onset at %.3f s, begins at %.3f, emerges at %.3f", l.name, snrDB, sec,
					l.earlySec, l.emergesSec)
			}
		}
		all += some
		t.Logf("SNR %.0f dB: %d of %d onsets within 10 ms of where the note comes within 40 dB of its highest level",
			snrDB, exact, some)
		if snrDB >= 40 {
			exactInQuiet += exact
			inQuiet += some
		}
	}
	t.Logf("%d of %d onsets between beginning and emerging", good, all)
	if float64(good) < 0.95*float64(all) {
		t.Errorf("%d of %d onsets between beginning and emerging", good, all)
	}
	if exactInQuiet*100 < 95*inQuiet {
		t.Errorf("SNR 40 dB and more: %d of %d onsets within 10 ms, want 95 %%", exactInQuiet, inQuiet)
	}
}

func onsetSec(s *decode.Sound) float64 {
	onset, _, _ := findSounding(s.Channels[0], s.RateHz, newBlocks(s.Channels[0], s.RateHz))
	return float64(onset) / float64(s.RateHz)
}

// Sounds made to begin at once and to end at once.
func TestOnsetAndEndOfMadeSounds(t *testing.T) {
	t.Parallel()
	for _, rateHz := range []int{8000, 44100, 192000} {
		for _, hz := range []float64{55, 440, 1760} {
			note := testsound.HarmonicWave(rateHz, hz, 1.2)
			for i := range note {
				note[i] *= 0.1
			}
			samples := append(testsound.Delayed(rateHz/2, note), make([]float32, rateHz/2)...)
			samples = testsound.Summed(samples, testsound.NoiseWave(testsound.White, rateHz, len(samples), -60, 3))
			m := withoutPitch(testtakes.Mono(rateHz, samples))
			if !testsound.Within(m.OnsetSec, 0.5, 0.010) || !testsound.Within(m.EndSec, 1.7, 0.030) {
				t.Errorf("%.0f Hz at %d: sounds from %.3f to %.3f s, want 0.5 to 1.7", hz, rateHz,
					m.OnsetSec, m.EndSec)
			}
		}
	}
}

func TestClickBeforeTheSoundIsNotItsOnset(t *testing.T) {
	t.Parallel()
	samples := testsound.Delayed(48000, testsound.HarmonicWave(48000, 220, 1))
	samples = testsound.Summed(samples, testsound.NoiseWave(testsound.White, 48000, len(samples), -60, 1))
	samples[12000] = 0.7
	if m := withoutPitch(testtakes.Mono(48000, samples)); !testsound.Within(m.OnsetSec, 1, 0.010) {
		t.Errorf("onset at %.3f s, want 1", m.OnsetSec)
	}
}

func TestSoundFromTheFirstFrame(t *testing.T) {
	t.Parallel()
	m := withoutPitch(testtakes.Mono(48000, testsound.HarmonicWave(48000, 220, 2)))
	if m.OnsetSec > 0.003 || !testsound.Within(m.EndSec, 2, 0.03) {
		t.Errorf("sounds from %.3f to %.3f s, want 0 to 2", m.OnsetSec, m.EndSec)
	}
}

// Noise that begins after digital silence, 10 dB under the note and half a second and more before it, is not the note:
// at most one onset in twenty is early by more than 100 ms.
func TestOnsetInHissAfterDigitalSilence(t *testing.T) {
	t.Parallel()
	notes, _ := knownNotes(t)
	early, all := 0, 0
	for i, n := range notes {
		hissing := degraded(n.sound, n.rateHz, uint64(i))
		for _, silence := range []int{0, n.rateHz / 2} {
			lead := silence + len(hissing) - len(n.sound) + cleanStart(n.sound, n.rateHz, 40)
			onset := onsetSec(testtakes.Mono(n.rateHz, testsound.Delayed(silence, hissing)))
			if m := withoutPitch(testtakes.Mono(n.rateHz, testsound.Delayed(silence, hissing))); m.OnsetSec < onset {
				onset = m.OnsetSec
			}
			all++
			if beginsSec := float64(lead) / float64(n.rateHz); onset < beginsSec-0.1 {
				early++
				t.Logf("%s after %d frames of silence: onset at %.3f s, begins at %.3f", n.path, silence,
					onset, beginsSec)
			}
		}
	}
	if early*20 > all {
		t.Errorf("%d of %d onsets more than 100 ms early", early, all)
	}
}

// A sound that has an offset, between digital silences that have none.
func TestOffsetLeavesDigitalSilence(t *testing.T) {
	t.Parallel()
	note := testsound.HarmonicWave(48000, 220, 1.5)
	for i := range note {
		note[i] = 0.3*note[i] + 0.05
	}
	m := withoutPitch(testtakes.Mono(48000, append(testsound.Delayed(48000, note), make([]float32, 48000)...)))
	if !testsound.Within(m.OnsetSec, 1, 0.010) || !testsound.Within(m.EndSec, 2.5, 0.030) || m.NoiseFloorDBFS > -80 {
		t.Errorf("sounds from %.3f to %.3f s over %.1f dBFS of noise, want 1 to 2.5 over none", m.OnsetSec, m.EndSec,
			m.NoiseFloorDBFS)
	}
}
