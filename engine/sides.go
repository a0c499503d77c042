// Two maps held against each other, and the way back to the map before the last reload.

package engine

import (
	"errors"
	"fmt"
	"slices"

	"lapstrake/mapping"
)

// side is a map that is followed at its path.
type side struct {
	path   string
	now    *instrument
	before *instrument // what Undo brings back; nil before the first Reload
}

// OpenAgainst opens a second map, for Exchange. The louder one of the two is turned down from its next notes on, until
// both are equally loud: a fixed chord at the dynamics' middle, measured by ITU-R BS.1770-5. Once for each engine. Not
// for the audio thread.
func (e *Engine) OpenAgainst(path string) error {
	if len(e.sides) > 1 {
		return errors.New("two maps are open already: expected no third one")
	}
	other, err := e.openNext(path)
	if err != nil {
		return err
	}
	e.changing.Lock()
	defer e.changing.Unlock()
	for _, in := range []*instrument{other, e.sides[0].now, e.sides[0].before} {
		if in == nil {
			continue
		}
		if err := in.measureLoudness(e.settings); err != nil {
			other.cycles.Close()
			return fmt.Errorf("%s: to match its loudness: %w", path, err)
		}
	}
	e.sides = append(e.sides, side{path: path, now: e.number(other)})
	e.tellOpened(other, path)
	e.match()
	return nil
}

// Exchange plays the other one of two maps: notes that are held move on to it by a crossfade, at the same places of
// their cycles where these are alike. With one map it does nothing. Not for the audio thread.
func (e *Engine) Exchange() {
	e.changing.Lock()
	defer e.changing.Unlock()
	e.side = (e.side + 1) % len(e.sides)
	e.bring(e.sides[e.side].now)
}

// Undo plays the map again that the last Reload of the map that plays replaced; once more brings the later one back.
// Held notes move on to it. Not for the audio thread.
func (e *Engine) Undo() error {
	e.changing.Lock()
	defer e.changing.Unlock()
	side := &e.sides[e.side]
	if side.before == nil {
		return errors.New("nothing was reloaded yet: there is no map to go back to")
	}
	side.now, side.before = side.before, side.now
	e.match()
	e.bring(side.now)
	return nil
}

// bring has the audio thread take up an instrument that was open, and the held notes move on to it.
func (e *Engine) bring(in *instrument) {
	in.draws.Store(true)
	e.play(in)
}

// Side tells which of the maps plays: 0 the first, 1 the one that OpenAgainst opened. Not for the audio thread.
func (e *Engine) Side() int {
	e.changing.Lock()
	defer e.changing.Unlock()
	return e.side
}

// MapAt returns the map that follows a path; where none does, the one that plays. Not for the audio thread.
func (e *Engine) MapAt(path string) *mapping.Map {
	e.changing.Lock()
	defer e.changing.Unlock()
	return e.sides[e.sideOf(path)].now.cycles.Map
}

// sideOf is the side that follows a path; the one that plays where none does.
func (e *Engine) sideOf(path string) int {
	if at := slices.IndexFunc(e.sides, func(s side) bool { return s.path == path }); at >= 0 {
		return at
	}
	return e.side
}

// onSide says whether an instrument plays, or can be brought back.
func (e *Engine) onSide(in *instrument) bool {
	return slices.ContainsFunc(e.sides, func(s side) bool { return s.now == in || s.before == in })
}
