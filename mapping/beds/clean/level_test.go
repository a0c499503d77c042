package clean

import (
	"math"
	"math/cmplx"
	"testing"

	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// EBU Tech 3341, test 1: 1 kHz in both channels at −23 dBFS is −23.0 LUFS. So a tone levelled to −23 LUFS has that
// peak.
func TestLevelIsLoudness(t *testing.T) {
	for _, amplitude := range []float64{0.001, 0.1, 0.9} {
		samples := make([]float32, 5*48000)
		testsound.AddTones(samples, 48000, 1000, amplitude, 1)
		conformed, err := conform(testtakes.Mono(48000, samples), clean(measure.Held, math.NaN(), 0, 5),
			Treatment{TakeKey: -1, GainDB: 4}, bare(), 48000)
		if err != nil {
			t.Fatal(err)
		}
		if gotDB := testsound.AmplitudeDB(cmplx.Abs(
			testsound.Component(testsound.Middle(conformed.Left), 48000, 1000))); math.Abs(gotDB+23-4) > 0.1 {
			t.Errorf("from amplitude %v: peak at %.2f dBFS, want −23 and 4 dB more, as the builder wished",
				amplitude, gotDB)
		}
		if math.Abs(conformed.LoudnessLUFS+19) > 0.1 || conformed.PeakGuarded {
			t.Errorf("from amplitude %v: %.2f LUFS, guarded: %v", amplitude, conformed.LoudnessLUFS,
				conformed.PeakGuarded)
		}
	}
}

func TestLevelGuardsPeaks(t *testing.T) {
	samples := make([]float32, 48000)
	samples[24000] = 0.01
	conformed, err := conform(testtakes.Mono(48000, samples), clean(measure.Struck, math.NaN(), 0.5, 1),
		Treatment{TakeKey: -1}, bare(), 48000)
	if err != nil {
		t.Fatal(err)
	}
	peak := 0.0
	for _, x := range conformed.Left {
		peak = max(peak, math.Abs(float64(x)))
	}
	if !conformed.PeakGuarded || math.Abs(testsound.AmplitudeDB(peak)+1) > 0.01 {
		t.Errorf("peak at %.2f dBFS, guarded: %v; want −1", testsound.AmplitudeDB(peak), conformed.PeakGuarded)
	}
}

// However long a blow rings or is cut, it comes out struck as hard.
func TestLevelOfStruckTakesIgnoresTheTail(t *testing.T) {
	ring := func(sec float64) float64 {
		samples := make([]float32, int(sec*48000))
		testsound.AddTones(samples, 48000, 500, 0.3, 3)
		for i := range samples {
			samples[i] *= float32(math.Exp(-8 * float64(i) / 48000))
		}
		conformed, err := conform(testtakes.Mono(48000, samples), clean(measure.Struck, math.NaN(), 0, sec),
			Treatment{TakeKey: -1}, bare(), 48000)
		if err != nil {
			t.Fatal(err)
		}
		return conformed.GainDB
	}
	if long, short := ring(8), ring(0.5); math.Abs(long-short) > 0.1 {
		t.Errorf("8 s long: %.2f dB, 0.5 s: %.2f dB", long, short)
	}
}
