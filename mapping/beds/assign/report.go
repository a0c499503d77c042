// Who went where, and what a builder should know about it.

package assign

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping"
)

// Placement is a take in a bed. Take counts the candidates that were given, from 0.
type Placement struct {
	Take  int `json:"take"`
	Index int `json:"index"` // the caller's number
	// from its own pitch to the root or an octave of it; 0 for noisy takes
	MoveSemitones float64 `json:"move_semitones"`
	Octave        int     `json:"octave"` // it sounds so many octaves above the root
	// how far it may be moved and still sound like itself; 0 for noisy takes
	LimitSemitones float64 `json:"limit_semitones"`
	WrongLayer     bool    `json:"wrong_layer"` // not the layer that was suggested or asked for
	WrongStrand    bool    `json:"wrong_strand"`
	AgainstWord    bool    `json:"against_word"` // one of the two, and the builder's own word
}

// IsFar says whether the take was moved beyond its limit.
func (p Placement) IsFar() bool { return math.Abs(p.MoveSemitones) > p.LimitSemitones }

// Unused is a take without a bed.
type Unused struct {
	Take   int    `json:"take"`
	Index  int    `json:"index"`
	Reason string `json:"reason"` // with its mend
}

// Short is a bed that lacks something.
type Short struct {
	Bed    int    `json:"bed"` // in Slots
	Reason string `json:"reason"`
}

// Assignment is the result of Assign. Every list is in a fixed order.
type Assignment struct {
	Slots  []mapping.BedName `json:"slots"`
	Beds   [][]Placement     `json:"beds"`   // of each slot, by take
	Uses   []int             `json:"uses"`   // beds that each take is in
	Unused []Unused          `json:"unused"` // by take
	// beds of fewer takes than the least number, or without any take that has a pitch
	Thin []Short `json:"thin"`
}

// Seat is a placement with its bed.
type Seat struct {
	Placement
	Bed int `json:"bed"` // in Slots
}

// Far lists the places in which a take is moved beyond its limit, the farthest beyond it first.
func (a *Assignment) Far() []Seat {
	far := a.seats(Placement.IsFar)
	beyond := func(s Seat) float64 { return math.Abs(s.MoveSemitones) - s.LimitSemitones }
	slices.SortStableFunc(far, func(x, y Seat) int { return cmp.Compare(beyond(y), beyond(x)) })
	return far
}

// Misplaced lists the places in a layer or strand that is not the take's own.
func (a *Assignment) Misplaced() []Seat {
	return a.seats(func(p Placement) bool { return p.WrongLayer || p.WrongStrand })
}

// Places lists the places of a take, by bed.
func (a *Assignment) Places(take int) []Seat {
	return a.seats(func(p Placement) bool { return p.Take == take })
}

func (a *Assignment) seats(wanted func(Placement) bool) []Seat {
	var seats []Seat
	for bed, placements := range a.Beds {
		for _, p := range placements {
			if wanted(p) {
				seats = append(seats, Seat{p, bed})
			}
		}
	}
	return seats
}

func (c *costs) report(members [][]int) *Assignment {
	a := &Assignment{Slots: c.slots, Beds: make([][]Placement, len(c.slots)), Uses: make([]int, len(c.candidates))}
	for bed := range c.slots {
		pitched := false
		for _, take := range slices.Sorted(slices.Values(members[bed])) {
			a.Beds[bed] = append(a.Beds[bed], c.placement(take, c.slots[bed]))
			a.Uses[take]++
			pitched = pitched || !c.noisy[take]
		}
		if reason := c.thin(len(members[bed]), pitched); reason != "" {
			a.Thin = append(a.Thin, Short{bed, reason})
		}
	}
	for take, uses := range a.Uses {
		if uses == 0 {
			a.Unused = append(a.Unused, Unused{take, c.candidates[take].Index, c.unused(take)})
		}
	}
	return a
}

func (c *costs) placement(take int, slot mapping.BedName) Placement {
	own := &c.candidates[take]
	p := Placement{Take: take, Index: own.Index}
	if !own.IsNoisy() {
		p.MoveSemitones, p.LimitSemitones = own.distance(slot.Root), c.limits[take]
		if !own.Fits {
			p.useOctave()
		}
	}
	p.WrongLayer = own.Layer != "" && own.Layer != slot.Layer
	p.WrongStrand = own.Strand != "" && own.Strand != slot.Strand
	p.AgainstWord = p.WrongLayer && own.LayerFixed || p.WrongStrand && own.StrandFixed
	return p
}

// useOctave lets a take that would be moved beyond its limit sound an octave off the root, where it is more like
// itself; more than one octave off, a key would not sound like that key any more.
func (p *Placement) useOctave() {
	switch {
	case !p.IsFar():
	case p.MoveSemitones > 0:
		p.Octave = -1
	default:
		p.Octave = 1
	}
	p.MoveSemitones += 12 * float64(p.Octave)
}

func (c *costs) thin(takes int, pitched bool) string {
	switch {
	case takes == 0:
		return "no take: there is none to put in; add takes"
	case takes < c.LeastTakes && len(c.candidates) <= takes:
		return fmt.Sprintf("%d of %d takes: there are no more; they are doubled", takes, c.LeastTakes)
	case takes < c.LeastTakes:
		return fmt.Sprintf("%d of %d takes: the sheet keeps the others to other layers or strands; they are "+
			"doubled, or leave some layers and strands open", takes, c.LeastTakes)
	case !pitched:
		return "noise only: no take with a pitch is at hand for it; add takes with a pitch, or a key for those " +
			"whose pitch was not found"
	}
	return ""
}

func (c *costs) unused(take int) string {
	if pin := c.candidates[take].Pin; pin != nil && len(c.slots) > 0 {
		return c.unpinned(pin)
	}
	if len(c.slots) == 0 {
		return "there are no beds"
	}
	return fmt.Sprintf("all seats are taken: %d beds hold %d takes each at the most; raise most_takes to %d, or make "+
		"more beds by more strands, layers or roots",
		len(c.slots), c.MostTakes, (len(c.candidates)+len(c.slots)-1)/len(c.slots))
}
