// Hum that was put there is found, with its level; none is found where there is none.

package measure

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// withHum adds hum of a level (RMS) to a sound.
func withHum(samples []float32, rateHz int, hz, dBFS float64) []float32 {
	gain := math.Pow(10, dBFS/20) / math.Sqrt(0.745)
	out := make([]float32, len(samples))
	for i, x := range samples {
		out[i] = x + float32(gain*testsound.MainsWave(hz, i, rateHz))
	}
	return out
}

func TestHumUnderRecordings(t *testing.T) {
	t.Parallel()
	good, all, wrong, clean := 0, 0, 0, 0
	for i, r := range testtakes.In(t, "flute", "bassoon", "guitar-acoustic", "misc") {
		rateHz := r.Sound.RateHz
		samples := testsound.Delayed(rateHz*7/10, r.Sound.Mono())
		samples = testsound.Summed(samples, testsound.NoiseWave(testsound.White, rateHz, len(samples), -75, uint64(i)))
		if m := withoutPitch(testtakes.Mono(rateHz, samples)); m.HumMainsHz != 0 {
			wrong++
			t.Logf("%s without hum: %d Hz, %.1f dBFS found", r.Name, m.HumMainsHz, m.HumDBFS)
		}
		clean++
		hz := []float64{49.9, 60.1}[i%2]
		m := withoutPitch(testtakes.Mono(rateHz, withHum(samples, rateHz, hz, -55)))
		all++
		if m.HumMainsHz == int(math.Round(hz/10)*10) && testsound.Within(m.HumDBFS, -55, 1.5) {
			good++
		} else {
			t.Logf("%s with %.1f Hz at −55 dBFS: %d Hz, %.1f dBFS found", r.Name, hz, m.HumMainsHz, m.HumDBFS)
		}
	}
	if float64(good) < 0.95*float64(all) || wrong > clean/30 {
		t.Errorf("%d of %d hums found with their level; %d of %d found where there was none", good, all, wrong, clean)
	}
}

// Notes near the mains and its harmonics are not hum, however steady.
func TestNotesAreNotHum(t *testing.T) {
	t.Parallel()
	for _, key := range []int{31, 35, 43, 47, 55, 59} { // G1 49.0, B1 61.7 Hz and octaves
		hz := sound.KeyHz(float64(key))
		if m := withoutPitch(testtakes.Mono(48000, testsound.HarmonicWave(48000, hz, 3))); m.HumMainsHz != 0 {
			t.Errorf("key %d, %.2f Hz: taken for %d Hz hum", key, hz, m.HumMainsHz)
		}
	}
}

// Hum under a held note that leaves no pause.
func TestHumWithoutPauses(t *testing.T) {
	t.Parallel()
	note := testsound.HarmonicWave(48000, 233.08, 3)
	m := withoutPitch(testtakes.Mono(48000, withHum(note, 48000, 50, -40)))
	if m.HumMainsHz != 50 || !testsound.Within(m.HumDBFS, -40, 1.5) {
		t.Errorf("found %d Hz, %.1f dBFS, want 50 Hz, −40", m.HumMainsHz, m.HumDBFS)
	}
}
