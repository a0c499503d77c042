package arrange

import (
	"math"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/measure"
)

// A steady tone can be joined to itself without a beat. One whose upper partials die away within its 0.9 s beats
// wherever it begins anew, and the build says so.
func TestBeatingOfProlongedTakes(t *testing.T) {
	for _, test := range []struct {
		name          string
		fallDBPerSec  float64
		atLeast, most float64
	}{{"steady", 0, 0, 1.5}, {"falling", 60, 3, 15}} {
		take := Part{Left: make([]float32, testRate*9/10), Kind: measure.Held}
		for i := range take.Left {
			sec := float64(i) / testRate
			for partial := 1.0; partial <= 12; partial++ {
				gain := 0.05
				if partial > 1 {
					gain *= math.Pow(10, -test.fallDBPerSec*sec/20)
				}
				take.Left[i] += float32(gain * math.Sin(2*math.Pi*220*partial*sec+partial*partial))
			}
		}
		take.Right = take.Left
		a := newArranger(project.DefaultArrange(), 1, 15*testRate, testRate, 3)
		a.materials[0] = newMaterial(take, testRate)
		a.prolong(0, 0, 1)
		got := a.materials[0].beating
		a.free()
		if got.Splices < 30 || got.BeatDB < test.atLeast || got.BeatDB > test.most {
			t.Errorf("%s: %+v, want it to beat by %v to %v dB", test.name, got, test.atLeast, test.most)
		}
	}
}

// A take that would beat strikes gestures instead; one that can be prolonged is.
func TestBeatingTakesStrike(t *testing.T) {
	falling := Part{Left: make([]float32, testRate*9/10), Kind: measure.Held, SteadinessDB: math.NaN()}
	for i := range falling.Left {
		sec := float64(i) / testRate
		for partial := 1.0; partial <= 12; partial++ {
			falling.Left[i] += float32(0.05 * math.Pow(10, -3*sec*min(partial-1, 1)) *
				math.Sin(2*math.Pi*220*partial*sec+partial*partial))
		}
	}
	falling.Right = falling.Left
	bed := arranged(t, []Part{falling, tone(220, 1.5, 6, 2)}, 15, 3)
	for _, s := range bed.Spans {
		if (s.Part == 0) != (s.Role == Stroke) {
			t.Errorf("take %d: %s", s.Part, s.Role)
		}
	}
	for i, h := range bed.Laid {
		if h.BeatDB > mostBeatDB {
			t.Errorf("take %d beats by %.1f dB", i, h.BeatDB)
		}
	}
}
