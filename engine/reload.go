// Reload: another map while notes sound on the old one.

package engine

import "fmt"

// keptInstruments is how many instruments may sound at once: the newest, and
// older ones on which notes still end.
const keptInstruments = 8

// Reload opens the map at path and has every note from now on begin on it, while
// sounding notes end on the map they began on; a map of the side that does not play waits for its turn. After an error
// nothing has changed. The player's rate stays, whatever the map says. The map from before stays open, for Undo. Not
// for the audio thread.
func (e *Engine) Reload(path string) error {
	next, err := e.openNext(path)
	if err != nil {
		return err
	}
	if len(e.TrimsDB()) > 1 {
		if err := next.measureLoudness(e.settings); err != nil {
			next.cycles.Close()
			return fmt.Errorf("%s: to match its loudness: %w", path, err)
		}
	}
	e.changing.Lock()
	defer e.changing.Unlock()
	at := e.sideOf(path)
	side := &e.sides[at]
	side.now, side.before = e.number(next), side.now
	e.tellOpened(next, path)
	e.match()
	if at == e.side {
		e.play(next)
	}
	return e.closeUnused()
}

// openNext opens a map that this engine has room for.
func (e *Engine) openNext(path string) (*instrument, error) {
	e.changing.Lock()
	var before *instrument // none of a map that is new
	if at := e.sideOf(path); e.sides[at].path == path {
		before = e.sides[at].now
	}
	e.changing.Unlock()
	next, err := openInstrument(path, e.Map().RateHz, e.settings, before)
	if err != nil {
		return nil, err
	}
	if err := e.fits(next); err != nil {
		next.cycles.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return next, nil
}

// number takes an instrument in, with numbers of its own.
func (e *Engine) number(in *instrument) *instrument {
	in.number, in.variant, in.sound = e.numbered, e.numbered, e.numbered
	e.numbered++
	e.opened = append(e.opened, in)
	return in
}

// tellOpened tells of an instrument that has its numbers and will play.
func (e *Engine) tellOpened(in *instrument, path string) {
	if e.settings.Opened != nil {
		e.settings.Opened(Opened{in.variant, in.number, in.sound, in.cycles, path, e.mostVoices, in.instead})
	}
}

// play has the audio thread take up an open instrument.
func (e *Engine) play(in *instrument) {
	e.latest.Store(in)
	e.next.Store(in)
}

// ChangedBeds returns the paths of the beds that are not on disk any more as the map at path opened them. Not for the
// audio thread.
func (e *Engine) ChangedBeds(path string) []string {
	e.changing.Lock()
	cycles := e.sides[e.sideOf(path)].now.cycles
	e.changing.Unlock()
	return cycles.ChangedBeds()
}

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

// CloseRetired closes the beds of maps that were replaced, no longer sound and cannot come back by Undo or Exchange,
// and frees their memory. Reload does so too. Not for the audio thread.
func (e *Engine) CloseRetired() error {
	e.changing.Lock()
	defer e.changing.Unlock()
	return e.closeUnused()
}

func (e *Engine) closeUnused() error {
	var failed error
	kept := e.opened[:0]
	for _, in := range e.opened {
		if e.onSide(in) || in.sounding.Load() {
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

// takeNext begins to play the instrument that play hands over. Audio thread.
func (e *Engine) takeNext() {
	next := e.next.Load()
	if next == nil {
		return
	}
	had := next.sounding.Load()
	if !had && len(e.playing) == cap(e.playing) {
		return
	}
	next.sounding.Store(true) // before it is taken: nobody may close it any more
	if !e.next.CompareAndSwap(next, nil) {
		next.sounding.Store(had) // another one came meanwhile, for the next cell
		return
	}
	if !had {
		e.playing = append(e.playing, next)
	}
	e.now, e.drawn = next, next.draws.Load()
	e.tell(Event{Frame: e.frame, Status: KindMap, Data1: bit(e.drawn), Fine: uint32(next.variant)})
	e.control.adopt(next.cycles.Map)
	e.retireSilent()
}

// retireSilent lets go of the instruments besides the present one on which nothing sounds any more. Audio thread.
func (e *Engine) retireSilent() {
	kept := e.playing[:0]
	for _, in := range e.playing {
		if in == e.now || in.notes > 0 {
			kept = append(kept, in)
		} else {
			in.sounding.Store(false)
		}
	}
	clear(e.playing[len(kept):])
	e.playing = kept
}
