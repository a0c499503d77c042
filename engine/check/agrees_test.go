// What the check says of keys agrees with what the player renders.

package check_test

import (
	"math"
	"strings"
	"testing"

	"lapstrake/engine"
	"lapstrake/engine/check"
	"lapstrake/engine/show"
	"lapstrake/mapping"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
)

// rendered plays a key for 40 s, over whole turns of its cycles, and hands on what is heard, a block at a time.
func rendered(t *testing.T, in check.Input, key, dynamics int, hear func(left, right []float32)) {
	t.Helper()
	player, err := engine.Open(in.MapPath, engine.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	defer player.Close()
	m := player.Map()
	p := show.Performance{Engine: player, Events: show.HoldEvents([]int{key}, 100, int64(40*m.RateHz),
		engine.Control(0, 0, byte(m.Dynamics.Controller), byte(dynamics)))}
	if _, err := p.Play(func(frames []float32) error {
		left, right := make([]float32, len(frames)/2), make([]float32, len(frames)/2)
		for i := range left {
			left[i], right[i] = frames[2*i], frames[2*i+1]
		}
		hear(left, right)
		return nil
	}, nil); err != nil {
		t.Fatal(err)
	}
}

// renderedLUFS is the loudness (ITU-R BS.1770-5) of a key as the player plays it.
func renderedLUFS(t *testing.T, in check.Input, key, dynamics int) float64 {
	meter := sound.NewMeter(yardRateHz, sound.StereoWeights)
	rendered(t, in, key, dynamics, func(left, right []float32) { meter.Add(left, right) })
	return meter.LevelLUFS()
}

// A step that the check finds between two keys is the step between the two rendered notes.
func TestSeamStepIsThatOfRenderedNotes(t *testing.T) {
	y := soundYard(3)
	y.grid.SeamFadeDB = 0
	for name, frames := range y.beds {
		if name.Root == 60 {
			gain(frames, 4)
		}
	}
	found := findings(y.check(t, "seams"), "seam_lu")
	if len(found) == 0 {
		t.Fatal("no seam found")
	}
	in := y.open(t)
	f := found[0]
	below, above := f.Place.Keys[0], f.Place.Keys[1]
	step := math.Abs(renderedLUFS(t, in, above, *f.Place.Dynamics) - renderedLUFS(t, in, below, *f.Place.Dynamics))
	// The beds' pure tones beat against each other, which moves a note of 40 s by 0.25 LU (standard deviation of 40
	// notes); and the figure is less than the step by what keys inside zones step, 0.2 LU here.
	if f.Figure > step+0.6 || f.Figure < step-0.8 {
		t.Errorf("keys %d and %d: found %.2f LU beyond the steps inside zones; rendered notes differ by %.2f",
			below, above, f.Figure, step)
	}
}

// A zone of noise that is 4 dB too loud steps at its seam, in the check as in rendered notes. The check proposes the
// fade at seams; with it, both step by less than a fifth of that.
func TestFadeTakesTheStepAway(t *testing.T) {
	without := 0.0
	for _, fadeDB := range []float64{0, mapping.DefaultGrid().SeamFadeDB} {
		y := noiseYard(3)
		y.grid.SeamFadeDB = fadeDB
		for name, frames := range y.beds {
			if name.Root == 60 {
				gain(frames, 4)
			}
		}
		report, in := y.check(t, "seams"), y.open(t)
		largest := figures(report, "loudness step at seams, largest")[0]
		rendered := math.Abs(renderedLUFS(t, in, 61, 0) - renderedLUFS(t, in, 60, 0))
		// The same five seconds of noise come again and again, and meet each other in one way only.
		if math.Abs(largest-rendered) > 0.5 {
			t.Errorf("fade of %v dB: the check has a step of %.2f LU, the rendered notes %.2f", fadeDB,
				largest, rendered)
		}
		found := findings(report, "seam_lu")
		if fadeDB == 0 {
			without = rendered
			if len(found) == 0 || !strings.Contains(found[0].Cure, "--seam-fade 12 (steps by") {
				t.Errorf("the fade is not proposed: %+v", found)
			}
			continue
		}
		if rendered > without/5 || len(found) > 0 {
			t.Errorf("with a fade rendered notes step by %.2f LU instead of %.2f, and the check finds %+v",
				rendered, without, found)
		}
	}
}

// figures are those of a name, in all parts.
func figures(report *check.Report, name string) (values []float64) {
	for _, part := range report.Parts {
		for _, f := range part.Figures {
			if f.Name == name {
				values = append(values, f.Value)
			}
		}
	}
	return values
}

// What the check says is off a key's harmonics is so in the rendered note.
func TestOffGridIsThatOfRenderedNotes(t *testing.T) {
	y := soundYard(6)
	y.addStray(y.names()[1])
	in := y.open(t)
	drawn := y.check(t, "tuning").Parts[0].Drawings[0].(*show.Curves)
	for n, dynamics := range []int{0, 64, 127} {
		for _, key := range []int{50, 59, 66, 72} {
			var left, right []float32
			rendered(t, in, key, dynamics, func(l, r []float32) {
				left, right = append(left, l...),
					append(right, r...)
			})
			hz := sound.KeyHz(float64(key))
			heard := 100 * hearing.OnGrid(hearing.TonesOf([][]float32{left, right}, yardRateHz, hz, hz), hz).OffShare
			if said := drawn.Curves[n].Y[key-49]; math.Abs(said-heard) > 3 {
				t.Errorf("key %d at dynamics %d: %.1f %% said to be off the grid, %.1f heard", key,
					dynamics, said, heard)
			}
		}
	}
}
