// A note as it is played: several cycles at once, each of beds that take turns, each bed of several takes.

package hearing

import (
	"math"
	"slices"
)

// StepSec is how far apart the moments lie at which a note is listened to.
const StepSec = BlockSec

// Bed is what one bed is made of: the courses of its takes, which sound together from its beginning.
type Bed struct {
	Sec   float64 // that its cycle uses of it
	Takes []*Course
}

// Cycle is an endless loop of beds as a note plays it: as stream.Cycle has it, with crossfades of equal power of
// OverlapSec from each bed into the next and from the last into the first. Turn 0 begins where the first bed sounds
// alone.
type Cycle struct {
	Beds       []Bed
	OverlapSec float64
	StartTurns float64 // where the note begins, 0 to 1
	Ratio      float64 // how much faster than its beds it is played
}

// turnSec is how long a turn lasts in its beds' own time.
func (c *Cycle) turnSec() (sec float64) {
	for i := range c.Beds {
		sec += c.Beds[i].Sec - c.OverlapSec
	}
	return sec
}

// TurnSec is how long a turn lasts as it is played.
func (c *Cycle) TurnSec() float64 { return c.turnSec() / c.Ratio }

// BedSec is for how long a bed carries the cycle in each turn as it is played: from the middle of a crossfade to that
// of the next.
func (c *Cycle) BedSec(bed int) float64 { return (c.Beds[bed].Sec - c.OverlapSec) / c.Ratio }

// carrying is a bed that sounds at a moment.
type carrying struct {
	bed   int
	sec   float64 // of its own time
	power float64 // 0 to 1
}

// at lists the one or two beds that sound at a moment of the note; a power of 0 stands for none.
func (c *Cycle) at(sec float64) [2]carrying {
	turn := c.turnSec()
	pos := math.Mod(c.StartTurns*turn+sec*c.Ratio, turn)
	bed := 0
	for bed < len(c.Beds)-1 && pos >= c.Beds[bed].Sec-c.OverlapSec {
		pos -= c.Beds[bed].Sec - c.OverlapSec
		bed++
	}
	now := carrying{bed, pos + c.OverlapSec, 1}
	into := pos - (c.Beds[bed].Sec - 2*c.OverlapSec)
	if into <= 0 || c.OverlapSec == 0 {
		return [2]carrying{now}
	}
	sin, cos := math.Sincos(into / c.OverlapSec * math.Pi / 2)
	now.power = cos * cos
	return [2]carrying{now, {(bed + 1) % len(c.Beds), into, sin * sin}}
}

// Note is a note made ready for listening. Several goroutines may listen to it.
type Note struct {
	Cycles []Cycle
	Takes  []InNote // all, cycle by cycle and bed by bed
	firsts [][]int  // in Takes, of each bed of each cycle
}

// InNote is one take in a note: take Take of bed Bed of cycle Cycle.
type InNote struct {
	Cycle, Bed, Take int
	own, spread      []Excitation // by block, moved to where the note plays it
	powers           []float64    // of own
	main             []mainBands  // of own
}

// NewNote moves all courses to the pitches at which the cycles play them.
func NewNote(cycles []Cycle) *Note {
	n := &Note{Cycles: cycles, firsts: make([][]int, len(cycles))}
	for i := range cycles {
		move := newMoving(cycles[i].Ratio)
		for b, bed := range cycles[i].Beds {
			n.firsts[i] = append(n.firsts[i], len(n.Takes))
			for k, course := range bed.Takes {
				take := InNote{Cycle: i, Bed: b, Take: k, own: move.course(course)}
				take.excite()
				n.Takes = append(n.Takes, take)
			}
		}
	}
	return n
}

// excite finds what follows from the take's own excitation.
func (t *InNote) excite() {
	t.spread, t.powers = make([]Excitation, len(t.own)), make([]float64, len(t.own))
	t.main = make([]mainBands, len(t.own))
	for block := range t.own {
		t.spread[block], t.powers[block] = t.own[block].Spread(), t.own[block].sum()
		t.main[block] = mainOf(&t.own[block])
	}
}

// LongestTurnSec is that of the cycle that turns the slowest.
func (n *Note) LongestTurnSec() (sec float64) {
	for i := range n.Cycles {
		sec = max(sec, n.Cycles[i].TurnSec())
	}
	return sec
}

// Cut is the note with a take freed of all that it excites above a frequency.
func (n *Note) Cut(take int, aboveHz float64) *Note {
	cut := *n
	cut.Takes = slices.Clone(n.Takes)
	t := &cut.Takes[take]
	t.own = slices.Clone(t.own)
	for block := range t.own {
		for band := range t.own[block] {
			if BandHz(float64(band)) > aboveHz {
				t.own[block][band] = 0
			}
		}
	}
	t.excite()
	return &cut
}
