// Teller: the ledger of the map that is being played, whichever that is.

package audible

import (
	"slices"
	"sync"

	"lapstrake/engine"
	"lapstrake/engine/stream"
)

// Teller tells who stands out on a player, and reads the ledger anew whenever the player has loaded its map anew. Any
// goroutine but the audio thread.
type Teller struct {
	dir    string // of the project
	maps   string // folder of the project's map
	engine *engine.Engine

	mu      sync.Mutex
	kept    []told // the newest last: two maps that are exchanged, and those that an undo brings back
	reading bool
}

// told is what reading the ledger of a map came to.
type told struct {
	number int // of the map
	ledger *Ledger
	err    error
}

const mostKept = 4

// NewTeller begins to read the ledger of the map that e plays, in the project folder dir. A second map that e
// exchanges it for has its ledger in its own folder.
func NewTeller(dir string, e *engine.Engine) *Teller {
	t := &Teller{dir: dir, maps: e.Cycles().Dir(), engine: e}
	t.Ledger()
	return t
}

// Ledger is that of the map that plays, and the map's number. It is nil while it is being read, and where it
// cannot be: err says why then.
func (t *Teller) Ledger() (l *Ledger, number int, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	number, cycles := t.engine.Latest()
	if at := slices.IndexFunc(t.kept, func(k told) bool { return k.number == number }); at >= 0 {
		return t.kept[at].ledger, number, t.kept[at].err
	}
	if t.reading {
		return nil, number, nil
	}
	t.reading = true
	go func() {
		read, err := Read(t.dirOf(cycles), cycles)
		t.mu.Lock()
		defer t.mu.Unlock()
		t.kept, t.reading = append(t.kept, told{number, read, err}), false
		if len(t.kept) > mostKept {
			t.kept = slices.Delete(t.kept, 0, 1)
		}
	}()
	return nil, number, nil
}

// dirOf is where the ledger of a map's cycles lies.
func (t *Teller) dirOf(cycles *stream.Cycles) string {
	if cycles.Dir() == t.maps {
		return t.dir
	}
	return cycles.Dir()
}

// Now lists the takes that stand out of what sounds, the loudest first; nothing while the ledger is being read. Notes
// that still sound on an older map are left out.
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
