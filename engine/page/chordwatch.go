// The chord under the hands: since when it is this one, and when it comes back.

package page

import (
	"math"
	"slices"
	"sync"

	"lapstrake/engine"
	"lapstrake/engine/show"
	"lapstrake/mapping"
)

// chordWatch follows the chord that is held. Its beginning is the moment at which it became what it is: the last key
// to join, or to leave.
type chordWatch struct {
	beganFrame int64 // noChord without one; Show's own
	held       []heldCycle

	mu    sync.Mutex
	chord chord
}

// noChord stands for the beginning of no chord: one may begin at frame 0, when the player begins with it.
const noChord = -1

// heldCycle tells one cycle of the chord from another.
type heldCycle struct {
	key, channel, zone, layer, mapNumber int
	beganFrame                           int64
}

// chord is what returns are computed from.
type chord struct {
	beganFrame int64
	steps      []stepped
}

// stepped is the length of a cycle, and how fast it is played.
type stepped struct {
	frames int64
	step   uint64
}

// see takes in what sounds.
func (w *chordWatch) see(s *engine.Snapshot) {
	held, steps := make([]heldCycle, 0, len(s.Cycles)), make([]stepped, 0, len(s.Cycles))
	newest := int64(noChord)
	for i := range s.Cycles {
		c := &s.Cycles[i]
		if c.State == engine.NoteDown || c.State == engine.NotePedal {
			held = append(held, heldCycle{c.Key, c.Channel, c.Zone, c.Layer, c.MapNumber, c.BeganFrame})
			steps = append(steps, stepped{c.CycleFrames, c.Step})
			newest = max(newest, c.BeganFrame)
		}
	}
	switch {
	case len(held) == 0:
		w.beganFrame = noChord
	case slices.Equal(held, w.held):
	case len(held) < len(w.held):
		w.beganFrame = s.Frame
	default:
		w.beganFrame = newest
	}
	w.held = held
	w.mu.Lock()
	defer w.mu.Unlock()
	w.chord = chord{w.beganFrame, steps}
}

func (w *chordWatch) now() chord {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.chord
}

func (c *chord) equal(other *chord) bool {
	return c.beganFrame == other.beganFrame && slices.Equal(c.steps, other.steps)
}

// Returns tells when a chord comes back: all times are seconds after it began.
type returnsTold struct {
	BeganFrame int64         `json:"beganFrame"`
	Cycles     int           `json:"cycles"`
	HorizonSec float64       `json:"horizonSec"`
	Returns    []returnTold  `json:"returns"`
	Nearing    []nearingTold `json:"nearing"`
}

type returnTold struct {
	WithinTurns float64  `json:"withinTurns"`
	AfterSec    *float64 `json:"afterSec"` // null: not within the horizon
}

// nearingTold is a moment at which the chord is nearer to its beginning than ever before.
type nearingTold struct {
	Sec        float64 `json:"sec"`
	WorstTurns float64 `json:"worstTurns"`
}

const (
	stillAway   = 0.45 // of a turn: farther than that, nothing has left its beginning
	mostNearing = 40
)

// returns computes what is told of a chord. Moments that come nearer than any before are listed up to the first within
// 1 %.
func (c *chord) returns(rateHz int) returnsTold {
	told := returnsTold{BeganFrame: c.beganFrame, Cycles: len(c.steps), HorizonSec: show.HorizonSec,
		Returns: []returnTold{}, Nearing: []nearingTold{}}
	if len(c.steps) == 0 {
		return told
	}
	var secs []float64
	for _, s := range c.steps {
		secs = append(secs, float64(s.frames)*mapping.OneFrame/float64(s.step)/float64(rateHz))
	}
	for _, withinTurns := range []float64{0.05, 0.02, 0.01} {
		one := returnTold{WithinTurns: withinTurns}
		if back, found := mapping.FirstReturn(secs, withinTurns, show.HorizonSec); found {
			one.AfterSec = &back.FromSec
		}
		told.Returns = append(told.Returns, one)
	}
	nearest := math.Inf(1)
	for back := range mapping.Returns(secs, stillAway, show.HorizonSec) {
		if back.WorstTurns < nearest {
			nearest = back.WorstTurns
			told.Nearing = append(told.Nearing, nearingTold{back.BestSec, back.WorstTurns})
		}
		if nearest < 0.01 || len(told.Nearing) == mostNearing {
			break
		}
	}
	return told
}
