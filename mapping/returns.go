// When a chord comes back: the times at which all its cycles stand near where they began.

package mapping

import (
	"iter"
	"math"
	"slices"
)

// maxReturnTurns bounds the turns of one cycle inside a horizon. Beyond it float64 no longer
// places a turn to better than a millionth of itself, and a search could take minutes.
const maxReturnTurns = 1 << 32

// Return is one stretch of time in which every cycle of a chord is again within the tolerance
// of a turn of where it began. Times are seconds after the chord's start.
type Return struct {
	FromSec, ToSec float64 // first and last moment at which all cycles are back, both included
	BestSec        float64 // the moment between them at which the worst cycle is nearest
	WorstTurns     float64 // how far that cycle then is from a whole turn, 0 to the tolerance
}

// Returns yields in order every return that begins no later than horizonSec. The cycles, of
// cycleSecs seconds each as heard, all start at 0; cycle i is back at time t when t/cycleSecs[i]
// is within epsTurns of a whole number. The stretch around 0 that has not yet been left is no
// return; the last return may end after the horizon.
//
// It yields nothing for no cycles, for a length, tolerance or horizon that is NaN, infinite or
// negative, for a length of zero, for a tolerance of half a turn or more (nothing then ever
// leaves), and for more than 2³² turns of one cycle before the horizon.
//
// Nothing is sampled: stretches are intersected, so the cost is at most one step for each turn
// of each different length. A bound or best moment t is within 4 units in the last place of t,
// which is 6·10⁻¹¹ s at 24 h; only two cycles that miss or touch each other by less than that
// can be misjudged.
func Returns(cycleSecs []float64, epsTurns, horizonSec float64) iter.Seq[Return] {
	return func(yield func(Return) bool) {
		search, ok := newReturnSearch(cycleSecs, epsTurns, horizonSec)
		if !ok {
			return
		}
		for search.leave(); search.meet(); search.leave() {
			if !yield(search.current()) {
				return
			}
		}
	}
}

// FirstReturn is the first of Returns; false means that none begins within the horizon.
func FirstReturn(cycleSecs []float64, epsTurns, horizonSec float64) (Return, bool) {
	for first := range Returns(cycleSecs, epsTurns, horizonSec) {
		return first, true
	}
	return Return{}, false
}

// turningCycle is a cycle and the whole turn it is at or on its way to.
type turningCycle struct {
	lengthSec float64
	turn      float64 // a whole number
}

// returnSearch moves forward through the stretches in which each cycle is back.
type returnSearch struct {
	cycles     []turningCycle // different lengths only, longest first: the longest jumps farthest
	epsTurns   float64
	horizonSec float64
	nowSec     float64
}

func newReturnSearch(cycleSecs []float64, epsTurns, horizonSec float64) (*returnSearch, bool) {
	if !(epsTurns >= 0 && epsTurns < 0.5) || !(horizonSec >= 0) {
		return nil, false
	}
	lengths := slices.Clone(cycleSecs)
	slices.Sort(lengths)
	lengths = slices.Compact(lengths)
	search := &returnSearch{epsTurns: epsTurns, horizonSec: horizonSec}
	for _, lengthSec := range slices.Backward(lengths) {
		if !(lengthSec > 0) || math.IsInf(lengthSec, 1) || !(horizonSec/lengthSec <= maxReturnTurns) {
			return nil, false
		}
		search.cycles = append(search.cycles, turningCycle{lengthSec: lengthSec})
	}
	return search, len(search.cycles) > 0
}

// from and to bound the stretch in which the cycle is back at its present turn.
func (c turningCycle) from(epsTurns float64) float64 { return (c.turn - epsTurns) * c.lengthSec }
func (c turningCycle) to(epsTurns float64) float64   { return (c.turn + epsTurns) * c.lengthSec }

// reach sets the cycle to its first turn whose stretch has not ended before atSec.
func (c *turningCycle) reach(atSec, epsTurns float64) {
	// The division is only a guess: the products of from and to are what decides.
	c.turn = math.Ceil(atSec/c.lengthSec - epsTurns)
	for c.to(epsTurns) < atSec {
		c.turn++
	}
	for (c.turn-1+epsTurns)*c.lengthSec >= atSec {
		c.turn--
	}
}

// first is the cycle that is the first to leave its present turn.
func (s *returnSearch) first() *turningCycle {
	leaver := &s.cycles[0]
	for i := range s.cycles {
		if s.cycles[i].to(s.epsTurns) < leaver.to(s.epsTurns) {
			leaver = &s.cycles[i]
		}
	}
	return leaver
}

// leave ends the present stretch: the cycle that is first to go is away until its next turn.
func (s *returnSearch) leave() {
	leaver := s.first()
	leaver.turn++
	s.nowSec = leaver.from(s.epsTurns)
}

// meet moves on from one cycle's stretch to another's until all are back at once.
func (s *returnSearch) meet() bool {
	for i, agreed := 0, 0; agreed < len(s.cycles); i = (i + 1) % len(s.cycles) {
		if s.nowSec > s.horizonSec {
			return false
		}
		cycle := &s.cycles[i]
		cycle.reach(s.nowSec, s.epsTurns)
		if from := cycle.from(s.epsTurns); from > s.nowSec {
			s.nowSec, agreed = from, 0
		}
		agreed++
	}
	return true
}

// current describes the stretch at which the search stands. The worst distance
// maxᵢ |t/Lᵢ − nᵢ| is convex and made of straight lines, so its least value is the highest of the
// points where one cycle's rising line crosses another's falling line: for i and j that point is
// at |nᵢLᵢ − nⱼLⱼ| / (Lᵢ + Lⱼ) turns (Helly's theorem on the line).
func (s *returnSearch) current() Return {
	toSec := s.first().to(s.epsTurns)
	bestSec, worstTurns := s.cycles[0].turn*s.cycles[0].lengthSec, 0.0
	for i, early := range s.cycles {
		for j, late := range s.cycles {
			if i == j {
				continue
			}
			gapSec := late.turn*late.lengthSec - early.turn*early.lengthSec
			if turns := gapSec / (early.lengthSec + late.lengthSec); turns > worstTurns {
				bestSec, worstTurns = (early.turn+turns)*early.lengthSec, turns
			}
		}
	}
	// Rounding may put the best moment of a stretch of no width just beside it.
	return Return{
		FromSec: s.nowSec, ToSec: toSec,
		BestSec:    min(max(bestSec, s.nowSec), toSec),
		WorstTurns: min(worstTurns, s.epsTurns),
	}
}
