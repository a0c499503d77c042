// A value that follows its target without a step.

package engine

import "math"

// smoothed follows a target through two equal one-pole low-passes in a row, so
// that neither the value nor its slope jumps.
type smoothed struct {
	target, middle, value float64
	keep                  [CellFrames + 1]float64 // of the distance, after so many frames
}

// settled is the distance at which the target is taken: −120 dB of the range.
const settled = 1e-6

func newSmoothed(timeFrames, value float64) smoothed {
	s := smoothed{target: value, middle: value, value: value}
	s.setTime(timeFrames)
	return s
}

// setTime sets the time constant, in frames.
func (s *smoothed) setTime(timeFrames float64) {
	for frames := range s.keep {
		s.keep[frames] = math.Exp(-2 * float64(frames) / timeFrames)
	}
}

// advance moves on by frames, at most one cell of the grid.
func (s *smoothed) advance(frames int) {
	if s.value == s.target && s.middle == s.target {
		return
	}
	keep := s.keep[frames]
	s.middle = s.target + (s.middle-s.target)*keep
	s.value = s.middle + (s.value-s.middle)*keep
	if math.Abs(s.value-s.target) < settled && math.Abs(s.middle-s.target) < settled {
		s.value, s.middle = s.target, s.target
	}
}
