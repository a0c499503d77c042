package testsound_test

import (
	"testing"

	"lapstrake/mapping/testsound"
)

// What the standards say of known signals: a sine of 997 Hz at full scale in one channel is −3.01 LUFS (ITU-R
// BS.1770-5, annex 1, note 1), one of 1 kHz at −23 dBFS in both is −23 LUFS (EBU Tech 3341, case 1), and a sine of a
// quarter of the rate at half of full scale, sampled 45° beside its peaks, has true peaks of −6 dBTP, +0.2 to −0.4
// (EBU Tech 3341, case 16).
func TestPeaksAboveLoudnessOfKnownSignals(t *testing.T) {
	for _, rateHz := range []int{32000, 44100, 48000} {
		silent := make([]float32, 5*rateHz)
		one := testsound.SineWave(rateHz, 997, 0, 5)
		both := testsound.SineWave(rateHz, 1000, -23, 5)
		quarter := make([]float32, 5*rateHz)
		for i := range quarter {
			quarter[i] = []float32{1, 1, -1, -1}[i%4] * 0.5 * 0.70710678
		}
		above := func(left, right []float32) float64 {
			values := testsound.PeaksAboveLoudness(left, right, rateHz)
			if len(values) != 3 {
				t.Fatalf("%d values of 5 s, want 3", len(values))
			}
			return values[1]
		}
		if got := above(one, silent); !testsound.Within(got, 3.01, 0.03) {
			t.Errorf("at %d Hz a sine in one channel peaks %.3f dB above its loudness, want 3.01", rateHz, got)
		}
		if got := above(both, both); !testsound.Within(got, 0, 0.03) {
			t.Errorf("at %d Hz a sine in both channels peaks %.3f dB above its loudness, want 0", rateHz, got)
		}
		if silence := testsound.PeaksAboveLoudness(silent, silent, rateHz); len(silence) != 0 {
			t.Errorf("silence has %d values", len(silence))
		}
		// the peak alone: beside a louder sine below the first, which only the loudness knows
		got := above(quarter, quarter) - above(sampledOnPeaks(quarter), sampledOnPeaks(quarter))
		if !testsound.Within(got, 0, 0.2) {
			t.Errorf("at %d Hz peaks between samples are %.2f dB off", rateHz, got)
		}
	}
}

// sampledOnPeaks is the same sine of a quarter of the rate with its peaks on samples.
func sampledOnPeaks(x []float32) []float32 {
	on := make([]float32, len(x))
	for i := range on {
		on[i] = []float32{0, 1, 0, -1}[i%4] * 0.5
	}
	return on
}
