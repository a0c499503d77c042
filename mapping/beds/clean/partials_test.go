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

func TestKeepPartials(t *testing.T) {
	for _, c := range []struct {
		key             int
		set, own, wants int // partials: setting, the take's own, what must be left
	}{{45, 3, 0, 3}, {45, 3, 1, 1}, {57, 0, 5, 5}, {57, 2, -1, 8}, {93, 2, 0, 2}, {24, 4, 0, 4}} {
		hz := sound.KeyHz(float64(c.key))
		samples := make([]float32, 3*testRateHz)
		testsound.AddTones(samples, testRateHz, hz, 0.1, 8)
		set := bare()
		set.KeepPartials = c.set
		conformed, err := conform(testtakes.Mono(testRateHz, samples), clean(measure.Held, hz, 0, 3),
			Treatment{TakeKey: c.key, TargetKey: c.key, KeepPartials: c.own}, set, testRateHz)
		if err != nil {
			t.Fatal(err)
		}
		out, gain := testsound.Middle(conformed.Left), sound.DBToAmplitude(conformed.GainDB)
		for n := 1; n <= 8 && float64(n)*hz < 0.45*testRateHz; n++ {
			levelDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(out, testRateHz, hz*float64(n))) /
				(0.1 / float64(n) * gain))
			if n <= c.wants && math.Abs(levelDB) > 0.05 || n > c.wants && levelDB > -75 {
				t.Errorf("key %d, %d partials kept: partial %d is at %.2f dB", c.key, c.wants, n, levelDB)
			}
		}
	}
}

// Linear phase without delay: a symmetric pulse stays symmetric about its place.
func TestCutAbovePartialKeepsTime(t *testing.T) {
	samples := make([]float32, 20001)
	samples[10000] = 1
	cutAbovePartial([][]float32{samples}, testRateHz, 200, 2)
	for i := 1; i <= 10000; i++ {
		if math.Abs(float64(samples[10000-i]-samples[10000+i])) > 1e-7 {
			t.Fatalf("%d frames from the pulse: %v before, %v after", i, samples[10000-i], samples[10000+i])
		}
	}
	if samples[10000] < 0.02 {
		t.Errorf("the pulse's middle is %v", samples[10000])
	}
}
