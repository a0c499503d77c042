// What is held is struck again.

package engine

import (
	"slices"
	"testing"
)

// Keys held by hand and by the pedal are struck again as hard as before and stay held by what held them; what was told
// of it renders to the same bytes.
func TestStrikingAgain(t *testing.T) {
	const hold = 64
	p := twoBeds(t, 0.1)
	p.VelocityAmount = 1
	in, told := NewQueue(64)
	e := player{p.open(Settings{Applied: []*QueueIn{in}}),
		NewList([]Event{NoteOn(100, 2, 60, 90), Control(200, 0, hold, 127), NoteOn(300, 0, 64, 50),
			NoteOff(400, 0, 64), NoteOn(500, 0, 67, 80), NoteOff(30_000, 0, 60), Control(40_000, 0, hold, 0)})}
	got := e.next(20_032)
	e.StrikeAgain()
	got = append(got, e.next(5_000)...)
	var picture Snapshot
	e.Snapshot(&picture)
	states := map[int]NoteState{}
	for _, c := range picture.Cycles {
		if c.BeganFrame > 20_000 {
			states[c.Key] = c.State
		}
	}
	if len(states) != 3 || states[60] != NoteDown || states[64] != NotePedal || states[67] != NoteDown {
		t.Errorf("struck again: %v; expected 60 and 67 by their keys and 64 by the pedal", states)
	}
	got = append(got, e.next(30_000)...)

	var events []Event
	for {
		event, some := told.Peek()
		if !some {
			break
		}
		told.Pop()
		events = append(events, event)
	}
	var again []Event
	for _, event := range events {
		if event.Kind() == KindNoteOn && event.Frame > 20_000 {
			again = append(again, Event{0, event.Status, event.Data1, event.Data2, 0})
		}
	}
	if want := []Event{NoteOn(0, 2, 60, 90), NoteOn(0, 0, 64, 50), NoteOn(0, 0, 67, 80)}; !slices.Equal(again, want) {
		t.Errorf("told of %v, expected %v", again, want)
	}
	if want := (player{p.open(Settings{}), NewList(events)}).next(len(got) / 2); !slices.Equal(got, want) {
		t.Error("what was told of does not render to the same sound")
	}
}

// With nothing held, nothing is struck.
func TestStrikingAgainInSilence(t *testing.T) {
	p := sineProject(t, 0.1)
	e := player{p.open(Settings{}), NewList(nil)}
	e.StrikeAgain()
	e.next(100)
	if stats := e.Stats(); stats.Events != 0 || stats.Voices != 0 {
		t.Errorf("%+v, expected nothing", stats)
	}
}
