// What somebody plays moves: sounds that go on brighten and darken, and strokes are harder where they are loud.

package boatyard

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/testsound"
)

// A sound that only goes on is heard as a loop: within a take, its brightest and its darkest second must be told
// apart. Brightness is the level above three times the root, against that of all.
func TestWhatGoesOnMoves(t *testing.T) {
	t.Parallel()
	const key = 60
	for _, m := range Makers() {
		if m.Kind != Held {
			continue
		}
		s := apart(m.Take(key, 9, takeRateHz, 4))
		upper := slices.Clone(s.left)
		for range 2 {
			highpass(takeRateHz, 3*testsound.KeyHz(key), 0.7).run(upper)
		}
		darkest, brightest := math.Inf(1), math.Inf(-1)
		for sec := 1; sec < 8; sec++ {
			from, to := sec*takeRateHz, (sec+1)*takeRateHz
			shareDB := testsound.AmplitudeDB(testsound.RMS(upper[from:to]) / testsound.RMS(s.left[from:to]))
			darkest, brightest = min(darkest, shareDB), max(brightest, shareDB)
		}
		if brightest-darkest < 3 {
			t.Errorf("%s: its seconds differ in brightness by %.1f dB at most", m.Title, brightest-darkest)
		}
	}
}

// Played hard, a stroke stands out farther from its own ringing.
func TestLoudStrokesAreHarder(t *testing.T) {
	t.Parallel()
	for _, m := range Makers() {
		if m.Kind != Struck {
			continue
		}
		const seeds = 12
		crestDB := func(layer string) (mean float64) {
			for seed := range uint64(seeds) {
				s := apart(m.In(layer).Take(60, 1, takeRateHz, seed))
				mean += testsound.AmplitudeDB(highest(s.left)/testsound.RMS(s.left)) / seeds
			}
			return mean
		}
		if more := crestDB("loud") - crestDB("soft"); more < 0.5 {
			t.Errorf("%s: its peak lies only %.1f dB farther above its level where it is loud", m.Title, more)
		}
	}
}
