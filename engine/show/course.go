// The course of a chord: how far its cycles are from where they began, and when they are nearest.

package show

import (
	"cmp"
	"math"
	"slices"

	"lapstrake/mapping"
)

// IsReturnTurns is how near all cycles are to where they began when the chord counts as back, in turns.
const IsReturnTurns = 0.05

// Course is a picture of each cycle's course, and of how far the chord is from its beginning.
type Course struct {
	Title   string
	Chord   *Chord // of one cycle or more
	Seconds float64
}

// Name returns the title.
func (c *Course) Name() string { return c.Title }

func (c *Course) sheet() (*sheet, error) {
	panels, err := coursePanels(c.Chord, c.Seconds)
	return &sheet{c.Title, panels}, err
}

// CourseSec is how much of a chord is worth drawing: up to its first return, if that comes within 24 turns of its
// longest cycle, and otherwise 12 turns.
func (c *Chord) CourseSec() float64 {
	longest := 0.0
	for _, cycle := range c.Cycles {
		longest = max(longest, cycle.CycleSec)
	}
	if back, found := mapping.FirstReturn(c.cycleSecs(), IsReturnTurns, 24*longest); found {
		return back.ToSec + longest
	}
	return 12 * longest
}

func (c *Chord) cycleSecs() (secs []float64) {
	for _, cycle := range c.Cycles {
		secs = append(secs, cycle.CycleSec)
	}
	return secs
}

// AwayTurns is how far the farthest cycle is from a whole turn, sec seconds after the chord's start: 0 to 0.5.
func (c *Chord) AwayTurns(sec float64) (away float64) {
	for _, cycle := range c.Cycles {
		turns := sec / cycle.CycleSec
		away = max(away, math.Abs(turns-math.Round(turns)))
	}
	return away
}

// Nearest finds the moments until untilSec at which all cycles are nearest to where they began, at most so many and so
// many seconds apart, in the order of time.
func (c *Chord) Nearest(untilSec float64, most int, apartSec float64) []mapping.Return {
	const near = 0.4 // of a turn: farther than that, nobody calls it near
	all := slices.SortedStableFunc(mapping.Returns(c.cycleSecs(), near, untilSec), func(a, b mapping.Return) int {
		return cmp.Compare(a.WorstTurns, b.WorstTurns)
	})
	var nearest []mapping.Return
	for _, back := range all {
		close := func(other mapping.Return) bool { return math.Abs(other.BestSec-back.BestSec) < apartSec }
		if len(nearest) < most && back.BestSec <= untilSec && !slices.ContainsFunc(nearest, close) {
			nearest = append(nearest, back)
		}
	}
	slices.SortFunc(nearest, func(a, b mapping.Return) int { return cmp.Compare(a.BestSec, b.BestSec) })
	return nearest
}
