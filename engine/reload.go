// Reload: another map while notes sound on the old one.

package engine

import "fmt"

// keptInstruments is how many instruments may sound at once: the newest, and
// older ones on which notes still end.
const keptInstruments = 8

// Reload opens the map at path and has every note from now on begin on it, while
// sounding notes end on the map they began on. After an error nothing has
// changed. The player's rate stays, whatever the map says. Not for the
// audio thread; one goroutine at a time.
func (e *Engine) Reload(path string) error {
	next, err := openInstrument(path, e.Map().RateHz, e.settings)
	if err != nil {
		return err
	}
	if err := e.fits(next); err != nil {
		next.cycles.Close()
		return fmt.Errorf("%s: %w", path, err)
	}
	next.number = e.latest.Load().number + 1
	if untaken := e.next.Swap(next); untaken != nil {
		untaken.retired.Store(true)
	}
	e.opened = append(e.opened, next)
	e.latest.Store(next)
	return e.CloseRetired()
}

// ChangedBeds returns the paths of the beds that are not on disk any more as the newest map opened them. The same goroutine
// as Reload.
func (e *Engine) ChangedBeds() []string { return e.latest.Load().cycles.ChangedBeds() }

// fits says whether the voices made at the start are enough for an instrument.
func (e *Engine) fits(next *instrument) error {
	if next.cycles.Map.Polyphony > e.mostVoices {
		return fmt.Errorf("polyphony %d: this player was started with room for %d; lower it, or start the player anew",
			next.cycles.Map.Polyphony, e.mostVoices)
	}
	if next.most() > cap(e.notes[0].parts) {
		return fmt.Errorf("one key sounds %d cycles; this player was started with room for %d; start it anew",
			next.most(), cap(e.notes[0].parts))
	}
	return nil
}

// CloseRetired closes the beds of maps that were replaced and no longer sound, and
// frees their memory. Reload does so too. Not for the audio thread; the same
// goroutine as Reload.
func (e *Engine) CloseRetired() error {
	var failed error
	kept := e.opened[:0]
	for _, in := range e.opened {
		if !in.retired.Load() {
			kept = append(kept, in)
			continue
		}
		e.reader.Settle() // a worker may still be reading for a note that just ended
		if err := in.cycles.Close(); err != nil {
			failed = err
		}
	}
	clear(e.opened[len(kept):])
	e.opened = kept
	return failed
}

// takeNext begins to play the instrument that Reload made. Audio thread.
func (e *Engine) takeNext() {
	if e.next.Load() == nil || len(e.playing) == cap(e.playing) {
		return
	}
	next := e.next.Swap(nil)
	if next == nil {
		return
	}
	e.now = next
	e.playing = append(e.playing, next)
	e.control.adopt(next.cycles.Map)
	e.retireSilent()
}

// retireSilent hands back the older instruments on which nothing sounds any
// more. Audio thread.
func (e *Engine) retireSilent() {
	kept := e.playing[:0]
	for _, in := range e.playing {
		if in == e.now || in.notes > 0 {
			kept = append(kept, in)
		} else {
			in.retired.Store(true)
		}
	}
	clear(e.playing[len(kept):])
	e.playing = kept
}
