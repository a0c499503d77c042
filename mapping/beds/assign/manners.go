// Takes that go on and takes that strike, together in a bed.

package assign

import (
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/takes/measure"
)

// costOneSided is for each take of a manner that a bed lacks: somewhat more than a take costs in a strand that is not
// its own, so that one comes from there where none has to be moved far for it.
const costOneSided = 48.0

// manner is what a take does.
type manner int

const (
	neither manner = iota // noise, or what is too far from home to count
	goesOn
	strikes
	manners // how many there are
)

// mannerSemitones is how far a take may be moved to count as of its manner: one that comes from farther would do more
// harm than a bed of one manner.
const mannerSemitones = 12

func mannerOf(take *Candidate, slot mapping.BedName) manner {
	switch {
	case take.IsNoisy() || math.Abs(float64(slot.Root)-take.Key) > mannerSemitones:
		return neither
	case take.Kind == measure.Struck:
		return strikes
	}
	return goesOn
}

// mixed is what a bed gains by a take of a manner that it lacks.
func (m *mix) mixed(take, bed int) float64 {
	if own := mannerOf(&m.candidates[take], m.slots[bed]); own != neither && m.ofManner[bed][own] < m.LeastOfManner {
		return -costOneSided
	}
	return 0
}

// mostMixed is how much an exchange of two takes can change by that.
func (c *costs) mostMixed() float64 {
	if c.LeastOfManner == 0 {
		return 0
	}
	return 4 * costOneSided
}
