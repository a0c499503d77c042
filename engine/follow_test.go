// Held notes move on to a map that was loaded.

package engine

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/testsound"
)

// twoBeds plays two sines in turn, 0.9 s each: what sounds tells where in its cycle a note is.
func twoBeds(t testing.TB, level float64) *project {
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 69, 0.1, p.bed("a.wav", sineOf(testRateHz, 440, 0, level)))
	p.Zones[0].Beds["one"][1] = p.bed("b.wav", sineOf(testRateHz, 660, 0, level))
	return p
}

// Loading the same map again is not heard: the crossfade leads to the same places of the cycles, bent, shifted and in
// the middle of a join as they may be.
func TestFollowingTheSameMapIsNotHeard(t *testing.T) {
	const level = 0.2
	p := twoBeds(t, level)
	events := []Event{Bend(0, 0, 9000), NoteOn(0, 0, 64, 127), NoteOn(1000, 0, 69, 90), NoteOn(2000, 0, 52, 100)}
	want := player{p.open(Settings{}), NewList(events)}
	got := player{p.open(Settings{}), NewList(events)}
	got.Follow(true)
	for turn := range 6 {
		a, b := want.next(seconds(0.7)), got.next(seconds(0.7))
		worst := 0.0
		for i := range a {
			worst = max(worst, math.Abs(float64(a[i]-b[i])))
		}
		if worst > 2e-6 {
			t.Errorf("turn %d: %.2g off, expected rounding of 32-bit floats", turn, worst)
		}
		if err := got.Reload(p.path()); err != nil {
			t.Fatal(err)
		}
	}
	got.next(seconds(1.5))
	if stats := got.Stats(); len(got.playing) != 1 || stats.Voices != 3 || stats.Misses != 0 {
		t.Errorf("%d maps sound, %d voices, %d late reads; expected the newest map alone, 3 and none",
			len(got.playing), stats.Voices, stats.Misses)
	}
}

// A held note is on the new map soon after it was loaded, without a click, and its key ends it; without Follow it
// stays.
func TestHeldNotesFollow(t *testing.T) {
	for _, follow := range []bool{true, false} {
		p := sineProject(t, 0.2)
		p.bed("octave.wav", sineOf(testRateHz, 880, 0, 0.2))
		off := int64(seconds(2.5))
		e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127), NoteOff(off, 0, 69)})}
		e.Follow(follow)
		out := e.next(seconds(0.4))
		p.Zones[0].Beds["one"] = []string{"octave.wav", "octave.wav"}
		p.save()
		if err := e.Reload(p.path()); err != nil {
			t.Fatal(err)
		}
		out = append(out, e.next(seconds(3))...)
		want := 440.0
		if follow {
			want = 880
		}
		requireNear(t, "Hz a second after the map was loaded",
			testsound.ToneHz(leftOf(out, 1.4, 0.8), testRateHz, want), want, 0.01)
		if _, second := largestSteps(out); second > 0.2*math.Pow(2*math.Pi*880/testRateHz, 2)*1.1 {
			t.Errorf("follow %v: the sound jumps: second difference %.4f", follow, second)
		}
		if stats := e.Stats(); stats.Voices != 0 || stats.Stolen != 0 || len(e.free) != len(e.parts) ||
			len(e.idle) != len(e.notes) {
			t.Errorf("follow %v: %d voices, %d stolen, %d of %d parts came back; expected all at rest", follow,
				stats.Voices, stats.Stolen, len(e.free), len(e.parts))
		}
	}
}

// A chord that fills the polyphony moves as a whole, one after the other where there is little room, and nothing is
// stolen; keys that are lifted, struck again or stolen on the way leave nothing behind.
func TestFollowingLeavesNothingBehind(t *testing.T) {
	p := busyProject(t)
	var events []Event
	for i := range p.Polyphony / 4 {
		events = append(events, NoteOn(0, 0, byte(50+i), 100))
	}
	e := player{p.open(Settings{}), NewList(slices.Clone(events))}
	e.Follow(true)
	e.next(seconds(0.2))
	if err := e.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	e.next(seconds(3))
	for _, n := range e.sounding {
		if n.on != e.now {
			t.Errorf("key %d still sounds on the old map", n.key)
		}
	}
	if stats := e.Stats(); stats.Stolen > 0 || len(e.sounding) != len(events) {
		t.Errorf("%d notes stolen, %d sound; expected none and %d", stats.Stolen, len(e.sounding), len(events))
	}
	for cell := range 60 { // the map comes anew all the time, while keys go up and down at every point of the way
		if err := e.Reload(p.path()); err != nil {
			t.Fatal(err)
		}
		frame, key := e.frame+int64(cell), byte(50+cell%len(events))
		e.list = NewList([]Event{NoteOff(frame, 0, key), NoteOn(frame+3000, 0, key, 80),
			NoteOn(frame+3001, 0, byte(70+cell%9), 80)})
		e.next(64 * cell)
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
}

func TestFollowingAllocatesNothing(t *testing.T) {
	p := twoBeds(t, 0.2)
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 64, 127), NoteOn(0, 0, 69, 127)})}
	e.Follow(true)
	e.next(seconds(0.1))
	const runs = 4
	var maps []*instrument
	for range runs + 1 {
		in, err := openInstrument(p.path(), 0, e.settings, nil)
		if err != nil {
			t.Fatal(err)
		}
		defer in.cycles.Close()
		cycle := in.cycles.Cycle(0, 0)
		if err := cycle.ReadFrames(make([]float32, 2*cycle.Frames), 0); err != nil { // its joins are measured then
			t.Fatal(err)
		}
		maps = append(maps, in)
	}
	out, at := make([]float32, 2*CellFrames), 0
	if allocs := testing.AllocsPerRun(runs, func() {
		e.Engine.next.Store(maps[at])
		at++
		for range seconds(0.8) / CellFrames {
			e.Fill()
			e.Render(out, e.list)
		}
	}); allocs != 0 {
		t.Errorf("%v allocations a map, expected none", allocs)
	}
	if e.now != maps[runs] || len(e.playing) != 1 || len(e.sounding) != 2 {
		t.Error("the notes did not follow")
	}
}

// A key that is struck in the very cell in which a waiting successor is let go finds room: the audio thread once
// looked for it for ever.
func TestStruckAsASuccessorIsLetGo(t *testing.T) {
	p := busyProject(t)
	p.Polyphony = 8 // two keys
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 50, 100), NoteOn(0, 0, 51, 100)})}
	e.Follow(true)
	e.next(seconds(0.1))
	if err := e.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	out := make([]float32, 2*CellFrames)
	cell := func(events ...Event) { // nothing is read: successors wait
		e.Render(out, NewList(events))
	}
	cell()
	if len(e.sounding) != 4 {
		t.Fatalf("%d notes sound or wait, expected two and their successors", len(e.sounding))
	}
	cell(NoteOff(e.frame, 0, 50))
	cell(NoteOn(e.frame, 0, 60, 100))
	e.list = NewList(nil)
	e.next(seconds(1))
	if stats := e.Stats(); stats.Voices != 8 {
		t.Errorf("%d cycles sound, expected those of two keys", stats.Voices)
	}
}
