// By press, each key takes its starts in turn, whatever is played between its presses.

package engine

import (
	"slices"
	"testing"

	"lapstrake/mapping"
)

// Two keys in turn: the one that is pressed more often is further in the list, and neither moves the other on.
func TestEachKeyCountsItsPresses(t *testing.T) {
	p := sineProject(t, 0.1)
	p.Zones[0].Start, p.Stagger = 0, mapping.Stagger{By: mapping.ByPress, Starts: []float64{0, 0.25, 0.5}}
	e := p.open(Settings{})
	cycle := e.Cycles().Cycle(0, 0)
	for i, c := range []struct {
		key   byte
		start float64
	}{{60, 0}, {64, 0}, {60, 0.25}, {60, 0.5}, {64, 0.25}, {60, 0}, {64, 0.5}} {
		at := e.Stats().Frame
		play(e, 2000, NoteOn(at, 0, c.key, 100))
		var s Snapshot
		e.Snapshot(&s)
		newest := slices.IndexFunc(s.Cycles, func(s SoundingCycle) bool { return s.BeganFrame == at })
		if newest < 0 || s.Cycles[newest].Key != int(c.key) ||
			s.Cycles[newest].StartFrame != cycle.StartFrame(c.start) {
			t.Errorf("press %d, of key %d: %+v, want it from %v turns on", i, c.key, s.Cycles, c.start)
		}
	}
}
