// Takes of one bed beside other beds: for how long each would be heard under levels that are still to be chosen.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

// Company is what sounds beside a bed in a note.
type Company struct {
	// Leads are what may lead in the other beds, one block each, as it sounds in the note's pitch; with none, the
	// other beds are taken to be like the bed itself, elsewhere in their turns. Of each, so much as leads in a bed of
	// a mean power of 1.
	Leads *Course
	Beds  int     // that sound beside it at once
	Ratio float64 // how much faster than its beds the note is played
}

// besideWays is in how many ways cycles are taken to meet.
const besideWays = 16

// golden is the part of the company by which each meeting differs from the one before: such steps spread evenly
// (Knuth, The Art of Computer Programming 3, 6.4).
const golden = 0.6180339887498949

// Beside is a bed whose takes are heard in a note, beside others.
type Beside struct {
	own, spread [][]Excitation // by take and block
	company     Company
	leads       []Excitation // of the company, in all bands that they excite, moved to where the note plays them
	all         []Excitation // scratch: of all takes under their levels, by block
}

// NewBeside makes ready courses of the takes of a bed, all alike long, each as it sounds when nothing turns it down.
func NewBeside(takes []*Course, company Company) *Beside {
	b := &Beside{company: company}
	move := newMoving(company.Ratio)
	for _, course := range takes {
		take := InNote{}
		for block := range course.Blocks() {
			e := course.At(block)
			take.own = append(take.own, move.of(&e))
		}
		take.excite()
		b.own, b.spread = append(b.own, take.own), append(b.spread, take.spread)
	}
	if company.Leads != nil {
		for block := range company.Leads.Blocks() {
			e := company.Leads.At(block)
			moved := move.of(&e)
			b.leads = append(b.leads, moved.Spread())
		}
	}
	b.all = make([]Excitation, len(b.own[0]))
	return b
}

// Heard is for how many seconds of the bed each take is heard, as the mean over several ways in which beds may meet.
// The powers are by take and block; under them, the bed's mean power is to be about 1, as the company has it.
func (b *Beside) Heard(powers [][]float64) []float64 {
	heard := make([]float64, len(b.own))
	mean := 0.0
	for block := range b.all {
		b.all[block] = Excitation{}
		for take := range b.own {
			power := powers[take][block]
			for band, p := range &b.spread[take][block] {
				b.all[block][band] += power * p
			}
			mean += power * b.own[take][block].sum() / float64(len(b.all))
		}
	}
	if mean == 0 {
		return heard
	}
	quiet := thresholds
	for band := range quiet {
		quiet[band] *= mean * float64(b.company.Beds+1) / sound.DBToPower(NoteDBSPL)
	}
	for block := range b.all {
		for way := range besideWays {
			all := b.beside(block, way)
			for take := range b.own {
				if b.standsOut(take, block, powers[take][block], &all, &quiet) {
					heard[take] += BlockSec / besideWays
				}
			}
		}
	}
	return heard
}

// beside is what the bed and its company excite at a moment.
func (b *Beside) beside(block, way int) Excitation {
	all := b.all[block]
	others, first := b.leads, block
	if others == nil {
		others, first = b.all, 0
	}
	for other := range b.company.Beds {
		// Those like the bed keep their distances to it; of others, any may lead now.
		_, turns := math.Modf(golden * float64(1+(first*besideWays+way)*b.company.Beds+other))
		from := &others[(int(turns*float64(len(others)))+block)%len(others)]
		for band, p := range from {
			all[band] += p
		}
	}
	return all
}

// standsOut says whether a take is heard, as Note.Listen has it.
func (b *Beside) standsOut(take, block int, power float64, all, quiet *Excitation) bool {
	if power == 0 {
		return false
	}
	masked := sound.DBToPower(-maskedDB)
	spread := &b.spread[take][block]
	bands := 0
	for band, own := range &b.own[take][block] {
		if p := power * own; p > 0 && p >= quiet[band] && p >= masked*(all[band]-power*spread[band]) {
			if bands++; bands == heardBands {
				return true
			}
		}
	}
	return false
}
