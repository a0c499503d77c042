package clean

import (
	"math"
	"testing"

	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// What sounds is kept as it is to the sample; the fades lie in the margins.
func TestTrimKeepsTheSoundWhole(t *testing.T) {
	samples := make([]float32, 3*testRateHz)
	testsound.AddHiss(samples, 0.01, 1)
	testsound.AddTones(samples[testRateHz:2*testRateHz], testRateHz, 330, 0.3, 3)
	set := bare()
	set.Trim, set.TrimBeforeMs, set.TrimAfterMs = true, 20, 60
	span := findTrim(len(samples), testRateHz, clean(measure.Held, 330, 1, 2), set)
	channels := [][]float32{append([]float32(nil), samples...)}
	span.cut(channels)
	kept := channels[0]
	if want := testRateHz + int(0.08*testRateHz); len(kept) != want {
		t.Errorf("%d frames are kept, want %d: the sound and 80 ms", len(kept), want)
	}
	before := int(0.020 * testRateHz)
	for i := -before / 2; i < testRateHz; i++ {
		if kept[before+i] != samples[testRateHz+i] {
			t.Fatalf("frame %d from the onset is %v, was %v", i, kept[before+i], samples[testRateHz+i])
		}
	}
	if first, last := kept[0], kept[len(kept)-1]; math.Abs(float64(first)) > 1e-5 || math.Abs(float64(last)) > 1e-5 {
		t.Errorf("it begins with %v and ends with %v: a click", first, last)
	}
}

// A file that begins and ends within the sound loses a millisecond at most.
func TestTrimFadesCutFilesBriefly(t *testing.T) {
	samples := make([]float32, testRateHz)
	for i := range samples {
		samples[i] = 1
	}
	set := bare()
	set.Trim, set.TrimBeforeMs, set.TrimAfterMs = true, 20, 60
	channels := [][]float32{samples}
	findTrim(len(samples), testRateHz, clean(measure.Held, 330, 0, 1), set).cut(channels)
	kept := channels[0]
	if len(kept) != testRateHz || kept[50] != 1 || kept[len(kept)-51] != 1 || kept[0] > 0.01 ||
		kept[len(kept)-1] > 0.01 {
		t.Errorf("%d frames, %v %v … %v %v", len(kept), kept[0], kept[50], kept[len(kept)-51], kept[len(kept)-1])
	}
}
