package clean

import (
	"math"
	"math/cmplx"
	"testing"

	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// Hum that strays from its nominal frequency goes by 30 dB and more; a tone a semitone beside a line stays.
func TestHumIsRemovedBesideTones(t *testing.T) {
	for _, c := range []struct {
		name    string
		mainsHz float64
		toneHz  float64
		lines   []float64 // harmonics of the mains that must go
		kept    []float64 // harmonics that are too near to the take's partials to be touched
	}{
		{"50 Hz under a far tone", 50, 440, []float64{1, 2, 3, 5}, nil},
		{"60 Hz a little low", 59.93, 220, []float64{1, 2, 3, 5}, nil},
		{"50 Hz a little high", 50.08, 330, []float64{1, 2, 3, 5}, nil},
		{"tone a semitone above", 50, 50 * math.Exp2(1./12), []float64{1, 2, 3, 5}, nil},
		{"tone a semitone below the second harmonic", 50, 100 * math.Exp2(-1./12), []float64{1, 2, 3, 5}, nil},
		{"tone on the second harmonic", 50, 100.3, []float64{1, 3, 5}, []float64{2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			samples := make([]float32, 6*testRateHz)
			testsound.AddTones(samples[testRateHz:5*testRateHz], testRateHz, c.toneHz, 0.2, 2)
			hum := make([]float32, len(samples))
			for _, k := range append(c.lines, c.kept...) {
				testsound.AddTones(hum, testRateHz, k*c.mainsHz, 0.01, 1)
			}
			for i := range hum {
				samples[i] += hum[i]
			}
			testsound.AddHiss(samples, 1e-4, 1)
			m := clean(measure.Held, c.toneHz, 1, 5)
			m.HumMainsHz = int(math.Round(c.mainsHz/10) * 10)
			channels := [][]float32{append([]float32(nil), samples...)}
			span := findTrim(len(samples), testRateHz, m, bare())
			removed := removeHum(channels, testRateHz, span, c.toneHz, m)
			if len(removed) != len(c.lines) {
				t.Errorf("removed %v, want the harmonics %v of %v", removed, c.lines, c.mainsHz)
			}
			// The tone is fitted and taken out, so that it does not count as hum.
			steady := channels[0][3*testRateHz/2 : 9*testRateHz/2]
			rest := testsound.Without(steady, testRateHz, c.toneHz, 2*c.toneHz)
			for _, k := range c.lines {
				leftDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(rest, testRateHz, k*c.mainsHz)) / 0.01)
				t.Logf("harmonic %.0f: %.1f dB", k, leftDB)
				if leftDB > -30 {
					t.Errorf("harmonic %.0f is only %.1f dB weaker", k, -leftDB)
				}
			}
			for n := 1.0; n <= 2 && len(c.kept) == 0; n++ {
				if offDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(steady, testRateHz, n*c.toneHz)) /
					(0.2 / n)); math.Abs(offDB) > 0.1 {
					t.Errorf("partial %.0f of the tone is %.2f dB off its level", n, offDB)
				}
			}
		})
	}
}

// What was measured as hum may be the take itself, a machine's: it is not in the pauses, so it stays.
func TestHumStaysWhereItIsTheSound(t *testing.T) {
	samples := make([]float32, 5*testRateHz)
	testsound.AddTones(samples[testRateHz:4*testRateHz], testRateHz, 50, 0.2, 6)
	testsound.AddHiss(samples, 1e-4, 1)
	m := clean(measure.Noisy, math.NaN(), 1, 4)
	m.HumMainsHz = 50
	if removed := removeHum([][]float32{samples}, testRateHz, findTrim(len(samples), testRateHz, m, bare()),
		math.NaN(), m); len(removed) > 0 {
		t.Errorf("removed %v Hz from a machine that hums", removed)
	}
}

// Words that were said before the sound are no hum: a machine keeps its lines though a voice of 100 Hz is heard in the
// pause, and hum goes though that voice is heard there too.
func TestHumIsToldFromWords(t *testing.T) {
	for _, humming := range []bool{false, true} {
		samples := make([]float32, 7*testRateHz)
		for word := range 3 {
			copy(samples[word*testRateHz+testRateHz/4:], testsound.Word(testRateHz, 100, uint64(word)))
		}
		for i, x := range samples {
			samples[i] = 0.5 * x
		}
		m := clean(measure.Noisy, math.NaN(), 4, 6.5)
		m.HumMainsHz = 50
		machine := samples[4*testRateHz : 13*testRateHz/2]
		if humming {
			testsound.AddTones(samples, testRateHz, 50, 0.01, 6)
			machineHz := 330.0
			testsound.AddTones(machine, testRateHz, machineHz, 0.2, 3)
		} else {
			testsound.AddTones(machine, testRateHz, 50, 0.02, 6)
		}
		testsound.AddHiss(samples, 1e-4, 1)
		removed := removeHum([][]float32{samples}, testRateHz, findTrim(len(samples), testRateHz, m, bare()),
			math.NaN(), m)
		if (len(removed) >= 3) != humming || !humming && len(removed) > 0 {
			t.Errorf("hum: %v; removed %v", humming, removed)
		}
	}
}
