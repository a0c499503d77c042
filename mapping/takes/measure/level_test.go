// Peaks, true peaks, offset and clipping of sounds that were made to have them.

package measure

import (
	"math"
	"testing"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// A sine of a quarter of the rate, sampled half-way between its zeros and peaks, has samples 3.01 dB below its peaks.
// BS.1770-5, annex 2, allows its filter to read some tenths of a decibel off.
func TestTruePeakBetweenSamples(t *testing.T) {
	t.Parallel()
	for _, rateHz := range []int{44100, 48000, 96000} {
		x := make([]float32, rateHz/2)
		for i := range x {
			x[i] = float32(0.5 * math.Sin(math.Pi/2*float64(i)+math.Pi/4))
		}
		m := withoutPitch(testtakes.Mono(rateHz, x))
		if !testsound.Within(m.PeakDBFS, -9.03, 0.01) || !testsound.Within(m.TruePeakDBTP, -6.02, 0.4) {
			t.Errorf("%d Hz: peak %.2f dBFS, true peak %.2f dBTP, want −9.03 and −6.02", rateHz,
				m.PeakDBFS, m.TruePeakDBTP)
		}
	}
}

// quantised rounds samples to so many bits, clipping at full scale.
func quantised(samples []float32, bits int) []float32 {
	steps := math.Ldexp(1, bits-1)
	out := make([]float32, len(samples))
	for i, x := range samples {
		out[i] = float32(max(-steps, min(math.Round(float64(x)*steps), steps-1)) / steps)
	}
	return out
}

func TestClippedRuns(t *testing.T) {
	t.Parallel()
	for _, bits := range []int{8, 16, 24} {
		for _, hz := range []float64{30, 220, 1000} {
			for _, gainDB := range []float64{0, -6, -15} { // turned down after the damage
				clean := quantised(testsound.SineWave(48000, hz, -1+gainDB, 1), bits)
				if m := withoutPitch(&decode.Sound{RateHz: 48000, Bits: bits,
					Channels: [][]float32{clean}}); m.ClippedRuns != 0 {
					t.Errorf("%d bits, %.0f Hz, %.0f dB, not clipped: %d runs", bits, hz, gainDB, m.ClippedRuns)
				}
				loud := quantised(testsound.SineWave(48000, hz, 3, 1), 24)
				for i := range loud {
					loud[i] *= float32(math.Pow(10, gainDB/20))
				}
				m := withoutPitch(&decode.Sound{RateHz: 48000, Bits: bits,
					Channels: [][]float32{quantised(loud, bits)}})
				if want := 2 * int(hz); m.ClippedRuns < want*9/10 || m.ClippedRuns > want {
					t.Errorf("%d bits, %.0f Hz, %.0f dB, both peaks clipped: %d runs, want %d", bits, hz, gainDB,
						m.ClippedRuns, want)
				}
				// 3 dB over: |sin| > 0.708 for half of the time.
				if !testsound.Within(m.ClippedMs, 500, 60) {
					t.Errorf("%d bits, %.0f Hz, %.0f dB: clipped for %.0f ms of a second, want 500", bits, hz,
						gainDB, m.ClippedMs)
				}
			}
		}
	}
}

func TestRecordingsAreNotClippedUnlessTheyAre(t *testing.T) {
	t.Parallel()
	for _, r := range testtakes.In(t, "piano", "flute", "bassoon", "guitar-acoustic") {
		m := withoutPitch(r.Sound)
		if m.ClippedRuns != 0 {
			t.Errorf("%s: %d clipped runs, peak %.2f dBFS", r.Name, m.ClippedRuns, m.PeakDBFS)
		}
		limit := float32(0.7 * math.Pow(10, m.PeakDBFS/20))
		if limit < clippedLeast {
			continue // too quiet to tell
		}
		louder := testtakes.Mono(r.Sound.RateHz, nil)
		for _, x := range r.Sound.Mono() {
			louder.Channels[0] = append(louder.Channels[0], max(-limit, min(x, limit)))
		}
		if m := withoutPitch(louder); m.ClippedRuns < clippedRuns {
			t.Errorf("%s, clipped 3 dB under its peak: %d runs", r.Name, m.ClippedRuns)
		}
	}
}

func TestOffset(t *testing.T) {
	t.Parallel()
	x := testsound.SineWave(48000, 100, -20, 1)
	for i := range x {
		x[i] -= 0.05
	}
	if m := withoutPitch(testtakes.Mono(48000, x)); !testsound.Within(m.DCPercent, -5, 0.01) {
		t.Errorf("offset −5 %%: found %.3f", m.DCPercent)
	}
}
func TestLoudnessOfShortAndSilentTakes(t *testing.T) {
	t.Parallel()
	short := withoutPitch(testtakes.Mono(48000, testsound.SineWave(48000, 1000, -20, 0.35)))
	if !math.IsNaN(short.LoudnessLUFS) || !math.IsNaN(short.MaxMomentaryLUFS) || !math.IsNaN(short.MaxShortTermLUFS) {
		t.Errorf("350 ms: %+v, want no gated loudness", short)
	}
	// One channel of two: 3 dB under the −20 LUFS of both.
	if !testsound.Within(short.KLevelLUFS, -23, 0.2) {
		t.Errorf("350 ms of a sine at −20 dBFS in one channel: K-weighted level %.2f LUFS, want −23", short.KLevelLUFS)
	}
	silent := withoutPitch(testtakes.Mono(48000, make([]float32, 48000)))
	if !math.IsNaN(silent.LoudnessLUFS) || !math.IsInf(silent.KLevelLUFS, -1) {
		t.Errorf("silence: %.2f LUFS, level %.2f, want none and −Inf", silent.LoudnessLUFS, silent.KLevelLUFS)
	}
	faint := withoutPitch(testtakes.Mono(48000, testsound.SineWave(48000, 1000, -75, 2)))
	if !math.IsNaN(faint.LoudnessLUFS) || !testsound.Within(faint.KLevelLUFS, -78, 0.2) {
		t.Errorf("under the absolute gate: %.2f LUFS, level %.2f, want none and −78", faint.LoudnessLUFS,
			faint.KLevelLUFS)
	}
}
