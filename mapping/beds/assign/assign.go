// Choosing takes for beds: every take in at least one bed, every bed with enough takes, no take far from its pitch.

package assign

import (
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/takes/measure"
)

// Candidate is a take that wants a place.
type Candidate struct {
	Index         int    // the caller's number for the take
	Contributor   string // "" mixes with everyone
	Layer, Strand string // "" leaves it open
	LayerFixed    bool   // Layer is the builder's own word, not a suggestion
	StrandFixed   bool
	EveryLayer    bool    // the builder wants it in each layer; Layer is ""
	EveryStrand   bool    // the builder wants it in each strand; Strand is ""
	Pin           *Pin    // the only beds that the builder allows; nil: any
	Key           float64 // pitch as a MIDI key with its fraction; NaN: none
	Fits          bool    // Key is no pitch but the tone that leads: it may go to any octave of a root
	Kind          measure.Kind
	BrightnessHz  float64 // NaN: not known
	LoudnessLUFS  float64 // NaN: not known
	FavourDB      float64 // how much rather than others it is chosen: 6 counts about twice
	Seconds       float64 // from onset to end
}

// IsNoisy says whether the take has no pitch to be tuned by.
func (c *Candidate) IsNoisy() bool { return c.Kind == measure.Noisy || math.IsNaN(c.Key) }

// Options bound what Assign does.
type Options struct {
	LeastTakes, MostTakes int // of a bed
	// takes that go on, and takes that strike, that every bed gets where that is possible
	LeastOfManner       int
	BedSec              float64 // length of a bed: takes shorter than it together are given company
	BrightMoveSemitones float64 // how far bright struck takes may be moved before they count as far from home
	SoftMoveSemitones   float64 // the same for dark held ones; others lie between
	Seed                uint64
	// Before are the candidates that each slot had in an earlier assignment, where there was one: they stay where
	// they are unless a change is well worth it, so that a changed take changes few beds.
	Before [][]int
}

// Takes gives takes to beds. All takes get a place as long as there are seats, at most MostTakes in a bed; what is
// over is in Unused. A bed gets LeastTakes, each at most once, unless there are not so many takes or the builder's
// own words about layers and strands forbid it; a bed that would be empty takes even those. Suggested layers and
// strands are kept as long as that leaves no bed short and no take without a place. A take that the builder wants in
// every layer or strand goes into each of them where there is a seat for it; a pinned one goes nowhere but where it is
// pinned to. Among all of these it looks for
// the least cost: little moving, takes that go on beside takes that strike, takes used equally often, contributors and
// brightnesses mixed within a bed, and different takes in beds that sound together or after one another.
//
// slots are ordered with quieter layers before louder ones. The same arguments give the same result.
func Takes(candidates []Candidate, slots []mapping.BedName, o Options) *Assignment {
	c := newCosts(candidates, slots, o)
	members := c.sharing().share()
	if members == nil {
		members = make([][]int, len(slots))
	}
	s := newSearch(c, members)
	s.run()
	return c.report(s.members)
}

// Carry tells, for Before of the next assignment, which takes each of its slots has in this one. now gives the place
// of a take of this assignment among the next candidates; false where it is gone.
func (a *Assignment) Carry(slots []mapping.BedName, now func(take int) (int, bool)) [][]int {
	bedOf := map[mapping.BedName]int{}
	for bed, slot := range a.Slots {
		bedOf[slot] = bed
	}
	before := make([][]int, len(slots))
	for i, slot := range slots {
		bed, was := bedOf[slot]
		if !was || bed >= len(a.Beds) {
			continue
		}
		for _, p := range a.Beds[bed] {
			if take, still := now(p.Take); still {
				before[i] = append(before[i], take)
			}
		}
	}
	return before
}
