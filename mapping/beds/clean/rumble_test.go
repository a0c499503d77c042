package clean

import (
	"math"
	"math/cmplx"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

func TestRumbleAndOffsetGo(t *testing.T) {
	samples := make([]float32, testFrames)
	for i := range samples {
		samples[i] = 0.1
	}
	testsound.AddTones(samples, testRateHz, 16, 0.1, 1)
	testsound.AddTones(samples, testRateHz, 110, 0.1, 3)
	m := clean(measure.Held, 110, 0, float64(testFrames)/testRateHz)
	set := bare()
	set.Rumble = true
	conformed, err := conform(testtakes.Mono(testRateHz, samples), m, Treatment{TakeKey: 45, TargetKey: 45}, set,
		testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	if conformed.LowCutHz != 55 {
		t.Errorf("the cut is at %v Hz, want half the fundamental", conformed.LowCutHz)
	}
	out, gain := testsound.Middle(conformed.Left), sound.DBToAmplitude(conformed.GainDB)
	if leftDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(out, testRateHz, 16)) /
		(0.1 * gain)); leftDB > -40 {
		t.Errorf("rumble is %.1f dB weaker, want 40", -leftDB)
	}
	if offDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(out, testRateHz, 110)) / (0.1 * gain)); math.Abs(
		offDB) > 0.1 {
		t.Errorf("the fundamental is %.2f dB off its level", offDB)
	}
	mean := 0.0
	for _, x := range out {
		mean += float64(x) / float64(len(out))
	}
	if math.Abs(mean) > 1e-4 {
		t.Errorf("an offset of %.5f is left", mean)
	}
}

// An attack out of silence has nothing before it: the filter rings after it only.
func TestRumbleDoesNotRingBefore(t *testing.T) {
	samples := make([]float32, testRateHz)
	testsound.AddTones(samples[testRateHz/2:], testRateHz, 80, 0.5, 5)
	removeRumble([][]float32{samples}, testRateHz, 40, 4)
	if before := testsound.AmplitudeDB(testsound.RMS(samples[:testRateHz/2]) /
		testsound.RMS(samples[testRateHz/2:])); before > -60 {
		t.Errorf("%.1f dB before the attack", before)
	}
}
