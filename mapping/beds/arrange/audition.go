// Auditioning: before the parts are laid out for good, those that are hard to hear beside other beds get longer or
// louder leads, or are brought out.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
)

const (
	auditions = 800 // choices that are tried

	// For so long of a bed each part is to be heard as its company is told here. Where a note asks for 3 s of a turn
	// of 28 s, that is somewhat more than it needs: what it meets there is not known so exactly. How inexactly says
	// doubt, in parts of the time wanted (tried on two projects).
	enoughPart = 0.25
	doubt      = 0.3

	// A choice may stray from the bed's level by this part of what the settings allow, as far as is told beforehand.
	straysFree = 0.7

	bellCost = 0.01 // of each dB, where 1.8 is what a part is worth that is heard for long enough
)

// audition is what is known of the parts of a bed before they take turns; slices are in the order of turns.
type audition struct {
	a       *arranger
	order   []int
	seconds float64
	favours []float64 // the builder's
	beside  *hearing.Beside
	courses []*hearing.Course // of the stems at length
	strokes bool              // all of them strike
	powers  [][]float64       // scratch: what a choice gives each part, by block
	voices  []*hearing.Voice  // scratch: those of a choice
}

// form is a part as it leads, under some bells.
type form struct {
	voice *hearing.Voice
	level float64   // power that brings the stem to where it leads
	loud  []float64 // K-weighted power at that level, by block
}

// audition chooses the leads of the parts, by how many dB they are raised and by which bells they are brought out, in
// the order of turns: it changes one part's after another's and keeps what lets more of them be heard for long enough.
func (a *arranger) audition(order []int, backs []float64, seconds float64) ([]lead, *choice) {
	d := &audition{a: a, order: order, seconds: seconds, strokes: !a.sustained(order)}
	for _, part := range order {
		d.favours = append(d.favours, a.materials[part].favour)
	}
	best := &choice{favours: slices.Clone(d.favours), raisedDB: make([]float64, len(order)),
		backs: slices.Clone(backs), bells: make([][]Bell, len(order))}
	if len(order) == 1 {
		return d.leads(best), best
	}
	best.forms = d.measure()
	c := newChance(a.seed, forAudition, 0, 0)
	most, heard := d.judge(best)
	for range auditions {
		if d.enough(heard) {
			break
		}
		tried := best.clone()
		if !d.change(tried, heard, c) || !d.allows(tried) {
			continue
		}
		if good, now := d.judge(tried); good > most {
			most, best, heard = good, tried, now
		}
	}
	return d.leads(best), best
}

// enough says whether all parts are heard for as long as is wanted.
func (d *audition) enough(heard []float64) bool {
	for rank, sec := range heard {
		if sec < d.wanted(rank) {
			return false
		}
	}
	return true
}

// wanted is for how many seconds of the bed a part is to be heard.
func (d *audition) wanted(rank int) float64 { return enoughPart * d.seconds * d.favours[rank] }

// judge says how good a choice is, and for how long each part is heard.
func (d *audition) judge(t *choice) (good float64, heard []float64) {
	good = -max(d.play(t)-straysFree*d.a.settings.SteadyLU, 0)
	heard = d.beside.Heard(d.voices, d.powers)
	for rank, sec := range heard {
		part := sec / d.wanted(rank)
		good += 1/(1+math.Exp((1-part)/doubt)) + math.Sqrt(min(part, 1))
		for _, bell := range t.bells[rank] {
			good -= bellCost * bell.DB
		}
	}
	return good, heard
}

// leads are those of a choice.
func (d *audition) leads(t *choice) []lead {
	a := d.a
	return schedule(len(d.order), t.favours, d.seconds, a.settings.TurnSec, newChance(a.seed, forTurns, 0, 0))
}

// measure listens to the parts as they are while they lead.
func (d *audition) measure() (forms []*form) {
	a := d.a
	for _, part := range d.order {
		stem := &a.stems[part]
		d.courses = append(d.courses, a.measurer.Course(stem.left, stem.right, nil))
	}
	d.beside = hearing.NewBeside(d.courses, a.company)
	d.voices = make([]*hearing.Voice, len(d.order))
	for rank := range d.order {
		d.powers = append(d.powers, make([]float64, d.courses[rank].Blocks()))
		forms = append(forms, d.form(rank, nil))
	}
	return forms
}

// form is a part under bells.
func (d *audition) form(rank int, bells []Bell) *form {
	gain := bellGain(bells, d.a.rateHz)
	f := &form{voice: d.beside.Voice(rank), loud: d.a.kPowers(d.courses[rank], gain)}
	if bells != nil {
		f.voice = d.beside.Shaped(rank, gain)
	}
	mean := 0.0
	for _, power := range f.loud {
		mean += power / float64(len(f.loud))
	}
	if mean > 0 {
		f.level = d.a.kindPower(d.order[rank]) / mean // without the builder's gain, which is not to be made up for
	}
	for block := range f.loud {
		f.loud[block] *= f.level
	}
	return f
}

// play finds what each part does under a choice, and what the way to the finished bed makes of it: softer strokes,
// what comes up beneath them, and the gain that steadies the sum. It returns how far the level over 3 s still strays.
func (d *audition) play(t *choice) (straysLU float64) {
	a, leads := d.a, d.leads(t)
	for rank := range d.powers {
		d.voices[rank] = t.forms[rank].voice
		own := leadsOf(leads, rank)
		for block := range d.powers[rank] {
			sec := (float64(block) + 0.5) * hearing.BlockSec
			d.powers[rank][block] = sound.DBToPower(t.raisedDB[rank] + a.turnDB(own, sec, t.backs[rank]))
		}
	}
	whole := d.fill(t)
	hops := make([]float64, max(int(d.seconds/hopSec), 1))
	for k := range hops {
		hops[k] = valueAt(whole, (float64(k)+0.5)*hopSec/hearing.BlockSec-0.5)
	}
	gains := rideGains(hops, a.settings.SteadyLU)
	for k, gain := range gains {
		hops[k] *= gain
	}
	mean := gatedMean(hops)
	straysLU = spreadLU(hops, mean)
	for rank := range d.powers {
		for block := range d.powers[rank] {
			gain := valueAt(gains, (float64(block)+0.5)*hearing.BlockSec/hopSec-0.5)
			d.powers[rank][block] *= t.forms[rank].level / mean * gain
		}
	}
	return straysLU
}

// fill is what arranger.fill does, told by the powers alone; it returns those of the whole by block.
func (d *audition) fill(t *choice) (whole []float64) {
	a, blocks := d.a, len(d.powers[0])
	struck, held := make([]float64, blocks), make([]float64, blocks)
	mean := 0.0
	for rank, part := range d.order {
		sums := held
		if a.materials[part].strikes {
			sums = struck
		}
		for block, power := range d.powers[rank] {
			power *= t.forms[rank].loud[block]
			sums[block] += power
			mean += power / float64(blocks)
		}
	}
	whole = make([]float64, blocks)
	for block := range whole {
		if lack := mean - struck[block]; held[block] > 0 && lack > held[block] {
			fill := min(lack/held[block], sound.DBToPower(fillMostDB))
			held[block] *= fill
			for rank, part := range d.order {
				if !a.materials[part].strikes {
					d.powers[rank][block] *= fill
				}
			}
		}
		whole[block] = struck[block] + held[block]
	}
	return whole
}

// kPowers are about the K-weighted powers of the blocks of a course, under a filter whose power gain at a frequency in
// Hz is given.
func (a *arranger) kPowers(c *hearing.Course, gain func(hz float64) float64) []float64 {
	weights := a.weights
	for band := range weights {
		weights[band] *= gain(hearing.BandHz(float64(band)))
	}
	powers := make([]float64, c.Blocks())
	for block := range powers {
		e := c.At(block)
		for band, p := range &e {
			powers[block] += p * weights[band]
		}
	}
	return powers
}
