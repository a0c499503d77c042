// Striking again what is held: by the program, where no hand is at the keys.

package engine

import "lapstrake/mapping"

// StrikeAgain strikes every key that hand, latch or pedal holds once more, as hard as before, from the next cell on.
// It is told to Settings.Applied as the messages that do the same. Any goroutine.
func (e *Engine) StrikeAgain() { e.again.Store(true) }

// strikeAgain: audio thread.
func (e *Engine) strikeAgain() {
	if !e.again.Load() || !e.again.Swap(false) {
		return
	}
	var struck [mapping.HighestKey + 1]struct {
		event Event
		up    bool
	}
	count := 0
	for _, n := range e.sounding {
		if n.held() && count < len(struck) { // at most one a key, but for channels that stand apart
			struck[count].event = NoteOn(e.frame, byte(n.channel), byte(n.key), byte(n.velocity))
			struck[count].up = !n.down
			count++
		}
	}
	for _, s := range struck[:count] {
		e.take(s.event)
		if s.up { // a pedal holds it
			e.take(NoteOff(e.frame, s.event.Channel(), s.event.Data1))
		}
	}
}
