// Takes of one bed beside other beds: for how long each would be heard under levels that are still to be chosen.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

// Company is what sounds beside a bed in a note; the zero value is nobody.
type Company struct {
	// Cycles are those that sound beside it on some key: of each, what may lead in its beds, one block each, as it
	// sounds in the note's pitch; so much as leads in a bed of a mean power of 1.
	Cycles []*Course `json:"cycles"`
	// Keys are those that the bed serves: which of the cycles sound beside it on each, at what power against its own.
	Keys  [][]Companion `json:"keys"`
	Ratio float64       `json:"ratio"` // how much faster than its beds the note is played; 0 counts as 1
}

// Companion is a cycle that sounds on a key.
type Companion struct {
	Cycle int     `json:"cycle"`
	Power float64 `json:"power"`
}

// besideWays is in how many ways cycles are taken to meet, over all keys together.
const besideWays = 24

// golden is the part of the company by which each meeting differs from the one before: such steps spread evenly
// (Knuth, The Art of Computer Programming 3, 6.4).
const golden = 0.6180339887498949

// Beside is a bed whose takes are heard in a note, beside others.
type Beside struct {
	takes  []*Voice // as they are, by take
	ratio  float64
	others [][besideWays]Excitation // what the company excites, by block
	louder [besideWays]float64      // how much more power the note has than the bed
	quiet  [besideWays]Excitation   // scratch: the thresholds in quiet in the note
	all    []Excitation             // scratch: of all takes under their levels, by block
}

// Voice is a take of a bed that is heard beside others: by block, moved to where the note plays it.
type Voice struct {
	own, spread []Excitation
	// against is what all that sounds, the take with it, may excite of a band for the take to be heard there
	against []Excitation
}

// NewBeside makes ready courses of the takes of a bed, all alike long, each as it sounds when nothing turns it down.
func NewBeside(takes []*Course, company Company) *Beside {
	b := &Beside{ratio: company.Ratio}
	if b.ratio == 0 {
		b.ratio = 1
	}
	move := newMoving(b.ratio)
	for _, course := range takes {
		v := &Voice{own: move.course(course)}
		v.excite()
		b.takes = append(b.takes, v)
	}
	b.all = make([]Excitation, len(b.takes[0].own))
	b.meet(&company, move)
	return b
}

func (v *Voice) excite() {
	v.spread, v.against = make([]Excitation, len(v.own)), make([]Excitation, len(v.own))
	for block := range v.own {
		v.spread[block] = v.own[block].Spread()
		for band, own := range &v.own[block] {
			v.against[block][band] = own*unmasked + v.spread[block][band]
		}
	}
}

// Voice is a take as it is.
func (b *Beside) Voice(take int) *Voice { return b.takes[take] }

// Shaped is a take under a filter: gain tells by what it multiplies the power at a frequency of the bed, in Hz.
func (b *Beside) Shaped(take int, gain func(hz float64) float64) *Voice {
	var gains Excitation
	for band := range gains {
		gains[band] = gain(BandHz(float64(band)) / b.ratio)
	}
	v := &Voice{own: make([]Excitation, len(b.takes[take].own))}
	for block := range v.own {
		for band, power := range &b.takes[take].own[block] {
			v.own[block][band] = power * gains[band]
		}
	}
	v.excite()
	return v
}

// Heard is for how many seconds of the bed each take is heard, as the mean over several ways in which beds may meet.
// The takes are in the order given to NewBeside; the powers are by take and block; under them, the bed's mean power is
// to be about 1, as the company has it.
func (b *Beside) Heard(takes []*Voice, powers [][]float64) []float64 {
	heard := make([]float64, len(takes))
	if !b.sum(takes, powers) {
		return heard
	}
	for block := range b.all {
		for take, v := range takes {
			for range b.ways(v, block, powers[take][block]) {
				heard[take] += BlockSec / besideWays
			}
		}
	}
	return heard
}

// ways counts those in which a take is heard at a moment, as Note.Listen has it of sounds that are no pure tones.
func (b *Beside) ways(v *Voice, block int, power float64) (count int) {
	if power == 0 {
		return 0
	}
	// Only in bands in which it stands out of its own bed may it stand out of more.
	var bands [Bands]int
	own, against, all := &v.own[block], &v.against[block], &b.all[block]
	left := 0
	for band, most := range against {
		if power*most >= all[band] && own[band] > 0 {
			bands[left] = band
			left++
		}
	}
	if left < heardBands {
		return 0
	}
	for way := range besideWays {
		others, quiet, heard := &b.others[block][way], &b.quiet[way], 0
		for _, band := range bands[:left] {
			if power*against[band] < all[band]+others[band] || power*own[band] < quiet[band] {
				continue
			}
			if heard++; heard == heardBands {
				count++
				break
			}
		}
	}
	return count
}

// NearlyHz counts the moments at which a take is not heard, but would be if it were up to mostDB louder, by the bands
// in which it then would be heard first; it gives their middles, as the bed has them, in Hz.
func (b *Beside) NearlyHz(take int, takes []*Voice, powers [][]float64, mostDB float64) (hz []float64, counts []int) {
	if !b.sum(takes, powers) {
		return nil, nil
	}
	var inBand [Bands]int
	most := sound.DBToPower(mostDB)
	for block := range b.all {
		for way := 0; way < besideWays; way += 3 {
			all := b.beside(block, way)
			nearest := takes[take].nearest(block, powers[take][block], &all, &b.quiet[way])
			if last := nearest[heardBands-1].lack; last <= 1 || last > most {
				continue
			}
			for _, near := range nearest {
				if near.lack > 1 {
					inBand[near.band]++
				}
			}
		}
	}
	for band, count := range inBand {
		if count > 0 {
			hz, counts = append(hz, BandHz(float64(band))/b.ratio), append(counts, count)
		}
	}
	return hz, counts
}

// sum finds what all takes excite under their powers, and the thresholds in quiet in the notes; false for silence.
func (b *Beside) sum(takes []*Voice, powers [][]float64) bool {
	mean := 0.0
	for block := range b.all {
		all := &b.all[block]
		*all = Excitation{}
		for take, v := range takes {
			power := powers[take][block]
			for band, p := range &v.spread[block] {
				all[band] += power * p
			}
			mean += power * v.own[block].sum() / float64(len(b.all))
		}
	}
	for way := range b.quiet {
		b.quiet[way] = *thresholds.Times(mean * b.louder[way] / sound.DBToPower(NoteDBSPL))
	}
	return mean > 0
}

// meet finds what the company excites at each block, in all the ways in which it may meet the bed.
func (b *Beside) meet(company *Company, move *moving) {
	leads := make([][]Excitation, len(company.Cycles))
	for cycle, course := range company.Cycles {
		for _, moved := range move.course(course) {
			leads[cycle] = append(leads[cycle], moved.Spread())
		}
	}
	b.others = make([][besideWays]Excitation, len(b.all))
	meeting := 0
	for way := range besideWays {
		b.louder[way] = 1
		if len(company.Keys) == 0 {
			continue
		}
		for _, other := range company.Keys[way*len(company.Keys)/besideWays] {
			b.louder[way] += other.Power
			holds := leads[other.Cycle]
			if len(holds) == 0 {
				continue
			}
			for block := range b.others {
				meeting++
				_, turns := math.Modf(golden * float64(meeting))
				for band, p := range &holds[int(turns*float64(len(holds)))] {
					b.others[block][way][band] += other.Power * p
				}
			}
		}
	}
}

// beside is what the bed and its company excite at a moment.
func (b *Beside) beside(block, way int) (all Excitation) {
	others := &b.others[block][way]
	for band, p := range &b.all[block] {
		all[band] = p + others[band]
	}
	return all
}

// nearest are the bands in which a take is heard first, and what its power would have to be multiplied by for that.
func (v *Voice) nearest(block int, power float64, all, quiet *Excitation) (nearest [heardBands]lacking) {
	for i := range nearest {
		nearest[i].lack = math.Inf(1)
	}
	for band, own := range &v.own[block] {
		needed := max(masked*(all[band]-power*v.spread[block][band]), quiet[band])
		if p := power * own; p > 0 && needed < p*nearest[heardBands-1].lack {
			nearer(nearest[:], lacking{needed / p, band})
		}
	}
	return nearest
}
