// A value that follows its target without a step.

package engine

import "math"

// approach is a value on its way to a target through two equal one-pole low-passes in a row, so that neither the value
// nor its slope jumps.
type approach struct{ target, middle, value float64 }

// keeping is what is left of the distance after so many frames.
type keeping [CellFrames + 1]float64

// smoothed is an approach with a time of its own.
type smoothed struct {
	approach
	keep keeping
}

// settled is the distance at which the target is taken: −120 dB of the range.
const settled = 1e-6

func newSmoothed(timeFrames, value float64) smoothed {
	s := smoothed{approach: at(value)}
	s.setTime(timeFrames)
	return s
}

// setTime sets the time constant, in frames.
func (s *smoothed) setTime(timeFrames float64) { s.keep = keepingOf(timeFrames) }

// keepingOf is for a time constant, in frames.
func keepingOf(timeFrames float64) (keep keeping) {
	for frames := range keep {
		keep[frames] = math.Exp(-2 * float64(frames) / timeFrames)
	}
	return keep
}

// at is an approach that has arrived.
func at(value float64) approach { return approach{value, value, value} }

// arrived says whether it stands still.
func (a *approach) arrived() bool { return a.value == a.target && a.middle == a.target }

// advance moves on by frames, at most one cell of the grid.
func (a *approach) advance(keep *keeping, frames int) {
	if a.arrived() {
		return
	}
	k := keep[frames]
	a.middle = a.target + (a.middle-a.target)*k
	a.value = a.middle + (a.value-a.middle)*k
	if math.Abs(a.value-a.target) < settled && math.Abs(a.middle-a.target) < settled {
		a.value, a.middle = a.target, a.target
	}
}

func (s *smoothed) advance(frames int) { s.approach.advance(&s.keep, frames) }
