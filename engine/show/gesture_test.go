package show_test

import (
	"slices"
	"testing"

	"lapstrake/engine"
	"lapstrake/engine/show"
)

func TestSweepGoesThroughEveryValue(t *testing.T) {
	const controller, frames = 11, 48000
	var values []int
	lastFrame := int64(-1)
	for _, event := range show.SweepEvents(controller, frames) {
		if event.Data1 != controller || event.Frame <= lastFrame || event.Frame >= frames {
			t.Fatalf("%+v after frame %d: want controller %d, evenly within %d frames", event, lastFrame,
				controller, frames)
		}
		lastFrame = event.Frame
		values = append(values, int(event.Data2))
	}
	var want []int
	for value := range 128 {
		want = append(want, value)
	}
	for value := 126; value >= 0; value-- {
		want = append(want, value)
	}
	if !slices.Equal(values, want) {
		t.Errorf("values %v, want 0 to 127 and back", values)
	}
}

func TestHoldLetsEveryKeyGo(t *testing.T) {
	events := show.HoldEvents([]int{48, 55}, 90, 1000, engine.Control(0, 0, 1, 64))
	want := []engine.Event{
		engine.NoteOn(0, 0, 48, 90), engine.NoteOn(0, 0, 55, 90), engine.Control(0, 0, 1, 64),
		engine.NoteOff(1000, 0, 48), engine.NoteOff(1000, 0, 55),
	}
	if !slices.Equal(events, want) {
		t.Errorf("%v, want %v", events, want)
	}
}

// Keys are struck in their order, the first at once; what lies between and the ends stay where they were.
func TestStrumStrikesOneKeyAfterTheOther(t *testing.T) {
	events := show.Strum(show.HoldEvents([]int{49, 48, 55}, 90, 1000, engine.Control(0, 0, 1, 64)), 40)
	want := []engine.Event{
		engine.NoteOn(0, 0, 49, 90), engine.Control(0, 0, 1, 64), engine.NoteOn(40, 0, 48, 90),
		engine.NoteOn(80, 0, 55, 90), engine.NoteOff(1000, 0, 49), engine.NoteOff(1000, 0, 48),
		engine.NoteOff(1000, 0, 55),
	}
	if !slices.Equal(events, want) {
		t.Errorf("%v, want %v", events, want)
	}
}
