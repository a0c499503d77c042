package show_test

import (
	"math"
	"testing"

	"lapstrake/engine/show"
	"lapstrake/mapping/testsound"
)

// A sine's RMS is 1/√2 of its peak: 3.01 dB below.
func TestLevelsOfASine(t *testing.T) {
	const rateHz = 48000
	levels := show.NewLevels(rateHz)
	addBoth(levels, testsound.SineWave(rateHz, 1000, -6, 2))
	whole := levels.Whole()
	if !testsound.Within(whole.PeakDBFS, -6, 0.01) || !testsound.Within(whole.RMSDBFS, -6-10*math.Log10(2), 0.01) {
		t.Errorf("%+v, want a peak of −6 dBFS and an RMS of −9.01 dBFS", whole)
	}
	if levels.Seconds() != 2 {
		t.Errorf("%v s, want 2", levels.Seconds())
	}
}

// Levels says when it is loud, at rates too that have no whole number of frames in a tenth of a second.
func TestLevelsOverTime(t *testing.T) {
	const rateHz = 11025
	levels := show.NewLevels(rateHz)
	silence := make([]float32, 9*rateHz)
	addBoth(levels, silence)
	addBoth(levels, testsound.SineWave(rateHz, 1000, 0, 1))
	for _, tenths := range []int{1, 5, 10} {
		each := levels.Each(tenths)
		if len(each) != 100/tenths {
			t.Fatalf("10 s in stretches of %d tenths: %d of them", tenths, len(each))
		}
		for i, level := range each {
			if loud := i*tenths >= 90; loud != (level.PeakDBFS > -1) || !loud && level.RMSDBFS != show.FloorDB {
				t.Errorf("stretch %d of %d tenths: %+v, want sound from 9 s on alone", i, tenths, level)
			}
		}
	}
	if whole := levels.Whole(); !testsound.Within(whole.RMSDBFS, -13.01, 0.01) { // a tenth of the time: 10 dB less
		t.Errorf("%+v, want an RMS of −13.01 dBFS", whole)
	}
}

func TestLevelOfNothing(t *testing.T) {
	if whole := show.NewLevels(48000).Whole(); whole.PeakDBFS != show.FloorDB || whole.RMSDBFS != show.FloorDB {
		t.Errorf("%+v, want the floor", whole)
	}
}

func addBoth(levels *show.Levels, mono []float32) {
	frames := make([]float32, 2*len(mono))
	for i, sample := range mono {
		frames[2*i], frames[2*i+1] = sample, sample
	}
	levels.Add(frames)
}
