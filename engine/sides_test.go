// Two maps held against each other, and the way back to the one before.

package engine

import (
	"math"
	"runtime"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
)

// octaveProject is sineProject an octave higher and at another level.
func octaveProject(t testing.TB, level float64) *project {
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 69, 0.1, p.bed("octave.wav", sineOf(testRateHz, 880, 0, level)))
	p.save()
	return p
}

func (p player) hearing(t testing.TB, what string, hz float64) {
	t.Helper()
	out := p.next(seconds(1.2))
	requireNear(t, what+", Hz", testsound.ToneHz(leftOf(out, 0.5, 0.6), testRateHz, hz), hz, 0.01)
	if _, second := largestSteps(out); second > 0.2*math.Pow(2*math.Pi*880/testRateHz, 2)*1.1 {
		t.Errorf("%s: the sound jumps: second difference %.4f", what, second)
	}
}

// A held note goes to the other map and back, without a click, whether it follows reloads or not; the map before a
// reload comes back, and goes again.
func TestExchangeAndUndo(t *testing.T) {
	p, other := sineProject(t, 0.2), octaveProject(t, 0.2)
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127)})}
	if err := e.Undo(); err == nil {
		t.Error("there is something to go back to before anything was reloaded")
	}
	if err := e.OpenAgainst(other.path()); err != nil {
		t.Fatal(err)
	}
	e.hearing(t, "the first map", 440)
	for range 2 {
		e.Exchange()
		e.hearing(t, "the other map", 880)
		e.Exchange()
		e.hearing(t, "the first map again", 440)
	}
	p.bed("low.wav", sineOf(testRateHz, 220, 0, 0.2))
	p.Zones[0].Beds["one"] = []string{"low.wav", "low.wav"}
	p.save()
	if err := e.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	e.hearing(t, "reloaded, without following", 440)
	e.StrikeAgain()
	e.hearing(t, "struck again", 220)
	for range 2 {
		if err := e.Undo(); err != nil {
			t.Fatal(err)
		}
		e.hearing(t, "the map before the reload", 440)
		if err := e.Undo(); err != nil {
			t.Fatal(err)
		}
		e.hearing(t, "the reload once more", 220)
	}
	e.Exchange()
	e.hearing(t, "the other map", 880)
	if err := e.Undo(); err == nil {
		t.Error("the other map was not reloaded, and is undone")
	}
	// Loaded while the other one plays, a map waits.
	if err := e.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	e.hearing(t, "the other map still", 880)
	if len(e.opened) != 3 || len(e.playing) != 1 {
		t.Errorf("%d maps are open and %d sound, expected three and one", len(e.opened), len(e.playing))
	}
}

// Maps that come and go within a crossfade, struck and lifted keys in between, leave nothing behind.
func TestExchangeInHaste(t *testing.T) {
	p, other := busyProject(t), busyProject(t)
	other.save()
	e := player{p.open(Settings{}), NewList(nil)}
	if err := e.OpenAgainst(other.path()); err != nil {
		t.Fatal(err)
	}
	for turn := range 30 {
		e.list = NewList([]Event{NoteOff(e.frame, 0, byte(50+turn%4)), NoteOn(e.frame+700, 0, byte(50+turn%4), 90)})
		e.Exchange()
		if turn%3 == 0 {
			e.Exchange()
		}
		if turn%10 == 0 {
			if err := e.Reload(p.path()); err != nil {
				t.Fatal(err)
			}
		}
		if turn%7 == 0 && turn > 0 && e.Side() == 0 {
			if err := e.Undo(); err != nil {
				t.Fatal(err)
			}
		}
		e.next(CellFrames * (1 + turn*turn%90))
	}
	e.next(seconds(2))
	for _, n := range e.sounding {
		if n.on != e.now {
			t.Errorf("key %d still sounds on another map", n.key)
		}
	}
	var up []Event
	for key := range byte(128) {
		up = append(up, NoteOff(e.frame, 0, key))
	}
	e.list = NewList(up)
	e.next(seconds(2))
	if len(e.free) != len(e.parts) || len(e.idle) != len(e.notes) || len(e.playing) != 1 {
		t.Errorf("%d of %d parts and %d of %d notes came back, %d maps sound", len(e.free), len(e.parts), len(e.idle),
			len(e.notes), len(e.playing))
	}
	if err := e.CloseRetired(); err != nil || len(e.opened) > 3 {
		t.Errorf("%d maps are open (%v), expected two and one to go back to", len(e.opened), err)
	}
}

// Both maps are equally loud within 0.2 LU by BS.1770-5, whatever their beds and headrooms, after a reload too; the
// softer one plays as it is.
func TestSidesAreEquallyLoud(t *testing.T) {
	soft, loud := layered(t, noiseOf(seconds(1), 1, 0.02), noiseOf(seconds(1), 2, 0.05)), busyProject(t)
	soft.Zones[0].Low, soft.Zones[0].High, loud.HeadroomDB, loud.Polyphony, loud.Zones[1].Low = 40, 80, 6, 60, 40
	loud.save()
	e := player{soft.open(Settings{MostVoices: 60}), nil}
	if err := e.OpenAgainst(loud.path()); err != nil {
		t.Fatal(err)
	}
	equal := func(what string, reload *project) {
		t.Helper()
		if reload != nil {
			reload.save()
			if err := e.Reload(reload.path()); err != nil {
				t.Fatal(err)
			}
		}
		var loudness [2]float64
		for range 2 {
			events := []Event{Control(e.frame, 0, 1, 64)}
			for _, key := range []byte{48, 55, 64, 71} {
				events = append(events, NoteOn(e.frame, 0, key, 100))
			}
			e.list = NewList(events)
			out := e.next(seconds(6))
			left, right := make([]float32, len(out)/2), make([]float32, len(out)/2)
			for i := range left {
				left[i], right[i] = out[2*i], out[2*i+1]
			}
			meter := sound.NewMeter(testRateHz, sound.StereoWeights)
			meter.Add(left, right)
			loudness[e.Side()] = meter.IntegratedLUFS()
			e.Exchange()
			e.next(seconds(0.5))
		}
		t.Logf("%s: %.2f and %.2f LUFS, turned down by %.2f dB", what, loudness[0], loudness[1], e.TrimsDB())
		requireNear(t, what+", LU apart", loudness[0], loudness[1], 0.2)
		if trims := e.TrimsDB(); min(trims[0], trims[1]) != 0 || max(trims[0], trims[1]) < 1 {
			t.Errorf("%s: turned down by %.2f dB, expected one of them alone", what, trims)
		}
	}
	equal("at the start", nil)
	loud.HeadroomDB = 18
	equal("more headroom", loud)
	loud.HeadroomDB = 40
	equal("softer than the other", loud)
	if err := e.OpenAgainst(loud.path()); err == nil {
		t.Error("a third map is opened")
	}
}

func TestExchangeAllocatesNothing(t *testing.T) {
	p, other := twoBeds(t, 0.2), twoBeds(t, 0.1)
	other.save()
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 64, 127), NoteOn(0, 0, 69, 127)})}
	if err := e.OpenAgainst(other.path()); err != nil {
		t.Fatal(err)
	}
	e.next(seconds(2))
	out := make([]float32, 2*CellFrames)
	if allocs := testing.AllocsPerRun(5, func() {
		e.Exchange()
		for range seconds(0.4) / CellFrames {
			e.Fill()
			e.Render(out, e.list)
		}
	}); allocs != 0 {
		t.Errorf("%v allocations an exchange, expected none", allocs)
	}
}

// Maps are exchanged, undone, reloaded and picked from while the player plays and workers read: free of races.
func TestExchangeWhilePlaying(t *testing.T) {
	p, other := busyProject(t), busyProject(t)
	other.save()
	e := p.open(Settings{})
	if err := e.OpenAgainst(other.path()); err != nil {
		t.Fatal(err)
	}
	e.Start(2)
	done := make(chan error)
	go func() {
		var failed error
		for turn := range 12 {
			e.Exchange()
			e.SetAlone(FacetRank, turn%2, turn%3 == 0)
			if turn%4 == 1 {
				failed = e.Reload([]string{p.path(), other.path()}[turn/4%2])
			}
			if turn%4 == 3 {
				e.Undo() // there may be nothing to undo
			}
			for e.next.Load() != nil { // until it is taken up
				runtime.Gosched()
			}
		}
		done <- failed
	}()
	frame, block := int64(0), make([]float32, 2*CellFrames)
	for {
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			return
		default:
		}
		e.Render(block, NewList([]Event{NoteOn(frame, 0, byte(50+frame/CellFrames%40), 100)}))
		frame += CellFrames
	}
}
