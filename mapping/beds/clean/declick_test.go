package clean

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// A take with clicks comes to the level that it has without them, and sounds the same but for a millisecond of each.
func TestClicksDoNotTurnATakeDown(t *testing.T) {
	for _, lengthFrames := range []int{1, 2, 6, 12} {
		plain, m, _ := noisyTake(220, 50, 8, 2)
		clicked := slices.Clone(plain)
		top := sound.Peak(plain)
		for n, at := range []int{testRateHz, 2 * testRateHz, 3*testRateHz + 77} {
			for i := range lengthFrames {
				clicked[at+i] += top * float32(3+n) * float32(1-2*(i%2))
			}
		}
		set := bare()
		set.PeakDBFS = -6
		want, err := conform(testtakes.Mono(testRateHz, plain), m, Treatment{TakeKey: -1}, set, testRateHz)
		if err != nil {
			t.Fatal(err)
		}
		got, err := conform(testtakes.Mono(testRateHz, clicked), m, Treatment{TakeKey: -1}, set, testRateHz)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.GainDB-want.GainDB) > 0.1 || got.Clicks != 3 {
			t.Errorf("clicks of %d frames: %d mended, %.2f dB of gain, %.2f without clicks", lengthFrames, got.Clicks,
				got.GainDB, want.GainDB)
		}
		differs, little := 0, 1e-3*float64(sound.Peak(want.Left))
		for i := range got.Left {
			if math.Abs(float64(got.Left[i]-want.Left[i])) > little {
				differs++
			}
		}
		if differs > 3*testRateHz/1000 {
			t.Errorf("clicks of %d frames: %d frames differ from the take without clicks", lengthFrames, differs)
		}
	}
}

// Nothing is mended in what strikes, nor in recordings of held notes, whose waves have peaks.
func TestNotesHaveNoClicks(t *testing.T) {
	for _, take := range testtakes.In(t, "bassoon", "flute", "misc") {
		if m := measure.Take(take.Sound); m.Kind == measure.Held {
			if n := removeClicks(workingCopy(take.Sound), take.Sound.RateHz); n > 0 {
				t.Errorf("%s: %d clicks", take.Name, n)
			}
		}
	}
	knock := make([]float32, 2*testRateHz)
	testsound.AddHiss(knock, 1e-3, 1)
	for i := range testRateHz / 2 {
		knock[testRateHz+i] += float32(0.5 * math.Exp(-float64(i)/200) * math.Sin(float64(i)/3))
	}
	if n := removeClicks([][]float32{knock}, testRateHz); n > 0 {
		t.Errorf("a knock is taken for %d clicks", n)
	}
}
