// Teller: the ledger of the map that is being played, whichever that is.

package audible

import (
	"slices"
	"sync"

	"lapstrake/engine"
)

// Teller tells who stands out on a player, and reads the ledger anew whenever the player has loaded its map anew. Any
// goroutine but the audio thread.
type Teller struct {
	dir    string
	engine *engine.Engine

	mu      sync.Mutex
	ledger  *Ledger // nil until it is read
	err     error   // why it is nil
	number  int     // of the map that it is of, or that is being read
	reading bool
}

// NewTeller begins to read the ledger of the map that e plays, in the project folder dir.
func NewTeller(dir string, e *engine.Engine) *Teller {
	t := &Teller{dir: dir, engine: e, number: -1}
	t.Ledger()
	return t
}

// Ledger is that of the map that was loaded last, and the map's number. It is nil while it is being read, and where it
// cannot be: err says why then.
func (t *Teller) Ledger() (l *Ledger, number int, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	number, cycles := t.engine.Latest()
	if number == t.number {
		return t.ledger, number, t.err
	}
	if t.reading {
		return nil, number, nil
	}
	t.ledger, t.err, t.number, t.reading = nil, nil, number, true
	go func() {
		read, err := Read(t.dir, cycles)
		t.mu.Lock()
		defer t.mu.Unlock()
		t.ledger, t.err, t.reading = read, err, false
	}()
	return nil, number, nil
}

// Now lists the takes that stand out of what sounds, the loudest first; nothing while the ledger is being read. Notes that
// still sound on an older map are left out.
func (t *Teller) Now(sounding []engine.SoundingCycle) []Take {
	l, number, _ := t.Ledger()
	if l == nil {
		return nil
	}
	var now []engine.SoundingCycle
	var places []int // of these in sounding
	for i := range sounding {
		if sounding[i].MapNumber == number {
			now, places = append(now, sounding[i]), append(places, i)
		}
	}
	all := l.Now(now)
	for i := range all {
		all[i].Cycle = places[all[i].Cycle]
	}
	return slices.Clip(all)
}
