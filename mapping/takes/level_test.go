// Peaks, true peaks, offset and clipping of sounds that were made to have them.

package takes

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A sine of a quarter of the rate, sampled half-way between its zeros and peaks, has samples 3.01 dB below its peaks. BS.1770-5,
// annex 2, allows its filter to read some tenths of a decibel off.
func TestTruePeakBetweenSamples(t *testing.T) {
	t.Parallel()
	for _, rateHz := range []int{44100, 48000, 96000} {
		x := make([]float32, rateHz/2)
		for i := range x {
			x[i] = float32(0.5 * math.Sin(math.Pi/2*float64(i)+math.Pi/4))
		}
		m := withoutPitch(monoSound(rateHz, x))
		if !within(m.PeakDBFS, -9.03, 0.01) || !within(m.TruePeakDBTP, -6.02, 0.4) {
			t.Errorf("%d Hz: peak %.2f dBFS, true peak %.2f dBTP, want −9.03 and −6.02", rateHz, m.PeakDBFS, m.TruePeakDBTP)
		}
	}
}

// Looking only where a peak can hide finds what looking everywhere finds.
func TestTruePeakMissesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float32Range(-1, 1), 0, 300).Draw(t, "samples")
		padded := make([]float64, len(x)+2*truePeakTaps)
		want := 0.0
		for i, v := range x {
			padded[truePeakTaps+i] = float64(v)
			want = max(want, math.Abs(float64(v)))
		}
		for i := range len(x) + truePeakTaps {
			want = max(want, between((*[truePeakTaps]float64)(padded[i:])))
		}
		if got := TruePeak(x); got != want {
			t.Fatalf("true peak %v, want %v", got, want)
		}
	})
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
				clean := quantised(sineWave(48000, hz, -1+gainDB, 1), bits)
				if m := withoutPitch(&Sound{RateHz: 48000, Bits: bits, Channels: [][]float32{clean}}); m.ClippedRuns != 0 {
					t.Errorf("%d bits, %.0f Hz, %.0f dB, not clipped: %d runs", bits, hz, gainDB, m.ClippedRuns)
				}
				loud := quantised(sineWave(48000, hz, 3, 1), 24)
				for i := range loud {
					loud[i] *= float32(math.Pow(10, gainDB/20))
				}
				m := withoutPitch(&Sound{RateHz: 48000, Bits: bits, Channels: [][]float32{quantised(loud, bits)}})
				if want := 2 * int(hz); m.ClippedRuns < want*9/10 || m.ClippedRuns > want {
					t.Errorf("%d bits, %.0f Hz, %.0f dB, both peaks clipped: %d runs, want %d", bits, hz, gainDB, m.ClippedRuns, want)
				}
				// 3 dB over: |sin| > 0.708 for half of the time.
				if !within(m.ClippedMs, 500, 60) {
					t.Errorf("%d bits, %.0f Hz, %.0f dB: clipped for %.0f ms of a second, want 500", bits, hz, gainDB, m.ClippedMs)
				}
			}
		}
	}
}

func TestRecordingsAreNotClippedUnlessTheyAre(t *testing.T) {
	t.Parallel()
	for _, r := range recordedIn(t, "piano", "flute", "bassoon", "guitar-acoustic") {
		m := withoutPitch(r.sound)
		if m.ClippedRuns != 0 {
			t.Errorf("%s: %d clipped runs, peak %.2f dBFS", r.name, m.ClippedRuns, m.PeakDBFS)
		}
		limit := float32(0.7 * math.Pow(10, m.PeakDBFS/20))
		if limit < clippedLeast {
			continue // too quiet to tell
		}
		louder := monoSound(r.sound.RateHz, nil)
		for _, x := range r.sound.Mono() {
			louder.Channels[0] = append(louder.Channels[0], max(-limit, min(x, limit)))
		}
		if m := withoutPitch(louder); m.ClippedRuns < clippedRuns {
			t.Errorf("%s, clipped 3 dB under its peak: %d runs", r.name, m.ClippedRuns)
		}
	}
}

func TestOffset(t *testing.T) {
	t.Parallel()
	x := sineWave(48000, 100, -20, 1)
	for i := range x {
		x[i] -= 0.05
	}
	if m := withoutPitch(monoSound(48000, x)); !within(m.DCPercent, -5, 0.01) {
		t.Errorf("offset −5 %%: found %.3f", m.DCPercent)
	}
}
