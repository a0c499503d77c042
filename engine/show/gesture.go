// What hands do to try out a map: hold a chord, move the dynamics.

package show

import (
	"cmp"
	"slices"

	"lapstrake/engine"
)

// HoldEvents holds keys from frame 0 to frames at a velocity of 1 to 127. The events of meanwhile lie between.
func HoldEvents(keys []int, velocity int, frames int64, meanwhile ...engine.Event) []engine.Event {
	var on, off []engine.Event
	for _, key := range keys {
		on = append(on, engine.NoteOn(0, 0, byte(key), byte(velocity)))
		off = append(off, engine.NoteOff(frames, 0, byte(key)))
	}
	return append(append(on, meanwhile...), off...)
}

// Strum strikes the keys of a chord one after the other, so many frames apart, in the order in which they stand.
func Strum(events []engine.Event, apart int64) []engine.Event {
	strummed, struck := slices.Clone(events), int64(0)
	for i := range strummed {
		if strummed[i].Kind() == engine.KindNoteOn {
			strummed[i].Frame += struck * apart
			struck++
		}
	}
	slices.SortStableFunc(strummed, func(a, b engine.Event) int { return cmp.Compare(a.Frame, b.Frame) })
	return strummed
}

// SweepEvents moves a controller through every value from 0 to 127 and back to 0 within frames.
func SweepEvents(controller int, frames int64) []engine.Event {
	const steps = 2 * 127
	var events []engine.Event
	for i := range int64(steps + 1) {
		value := min(i, steps-i)
		events = append(events, engine.Control(i*frames/(steps+1), 0, byte(controller), byte(value)))
	}
	return events
}
