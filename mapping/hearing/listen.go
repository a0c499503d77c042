// Listening to a note: which of its takes are heard when.

package hearing

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	// NoteDBSPL is how loud a note is listened to: its mean level.
	NoteDBSPL = 65

	// A take is heard at a moment at which it stands, in so many bands at least, or in all those that hold so much of
	// its power, no more than so many dB below what the others excite there, and above the threshold in quiet. That a
	// tone is heard in noise from a few dB below it on is common practice; that it takes two ERBs to know a sound
	// again is a choice, and so is what counts as a sound that has fewer, such as a pure tone.
	heardBands = 4
	mostPower  = 0.9
	maskedDB   = 6
)

// masked is maskedDB as a power, and unmasked what it is the other way.
var masked, unmasked = sound.DBToPower(-maskedDB), sound.DBToPower(maskedDB)

// Moments tell of one take in a note how it fares while its bed carries its cycle.
type Moments struct {
	// LackDB is, for each moment, how much louder the take alone would have to be to be heard: 0 or less is heard,
	// +Inf is silent.
	LackDB []float32
	// Steps are the moments, in steps of StepSec from the note's beginning.
	Steps []int
	// Blocks are those of the take's course that sound at them.
	Blocks []int
	// BedSec is how long the bed carries its cycle each turn.
	BedSec float64
}

// Share is the part of the moments at which the take is heard, 0 to 1.
func (m *Moments) Share() float64 {
	heard := 0
	for _, lack := range m.LackDB {
		if lack <= 0 {
			heard++
		}
	}
	return float64(heard) / float64(max(len(m.LackDB), 1))
}

// SecATurn is for how long of each turn the take is heard.
func (m *Moments) SecATurn() float64 { return m.Share() * m.BedSec }

// LackFor is how many dB louder the take alone would have to be to be heard for so many seconds of each turn, or as
// long as its bed carries; 0 or less where it is. It is a first guess: the others are taken to stay as they are.
func (m *Moments) LackFor(sec float64) float64 {
	if len(m.LackDB) == 0 {
		return math.Inf(1)
	}
	sorted := slices.Sorted(slices.Values(m.LackDB))
	wanted := int(math.Ceil(sec / m.BedSec * float64(len(sorted))))
	return float64(sorted[min(max(wanted, 1), len(sorted))-1])
}

// sounding is a take at a moment.
type sounding struct {
	take, block int
	power       float64
	carries     bool // its bed carries the cycle
}

// soundingAt lists the takes that sound at a moment; powers are those of the cycles.
func (n *Note) soundingAt(now []sounding, sec float64, powers []float64) []sounding {
	now = now[:0]
	for i := range n.Cycles {
		if powers[i] == 0 {
			continue
		}
		for _, c := range n.Cycles[i].at(sec) {
			if c.power == 0 {
				continue
			}
			block := int(c.sec / BlockSec)
			first := n.firsts[i][c.bed]
			for take := first; take < first+len(n.Cycles[i].Beds[c.bed].Takes); take++ {
				if block < len(n.Takes[take].own) {
					now = append(now, sounding{take, block, powers[i] * c.power, c.power >= 0.5})
				}
			}
		}
	}
	return now
}

// steps is how many moments a time has.
func steps(sec float64) int { return int(math.Ceil(sec / StepSec)) }

// toSPL is what full scale's powers are to be multiplied by for the note's mean level to be NoteDBSPL; 0 for silence.
func (n *Note) toSPL(powers []float64, sec float64) float64 {
	sum := 0.0
	var now []sounding
	for step := range steps(sec) {
		now = n.soundingAt(now, float64(step)*StepSec, powers)
		for _, s := range now {
			sum += s.power * n.Takes[s.take].powers[s.block]
		}
	}
	if sum == 0 {
		return 0
	}
	return sound.DBToPower(NoteDBSPL) * float64(steps(sec)) / sum
}

// Listen plays the note for so many seconds, each cycle at its power (0: it does not sound), and tells how every take
// fares. The same note gives the same answer.
func (n *Note) Listen(powers []float64, sec float64) []Moments {
	heard := make([]Moments, len(n.Takes))
	for i := range heard {
		heard[i].BedSec = n.Cycles[n.Takes[i].Cycle].BedSec(n.Takes[i].Bed)
	}
	toSPL := n.toSPL(powers, sec)
	if toSPL == 0 {
		return heard
	}
	quiet := thresholds
	for band := range quiet {
		quiet[band] /= toSPL
	}
	var now []sounding
	for step := range steps(sec) {
		now = n.soundingAt(now, float64(step)*StepSec, powers)
		all := n.excited(now)
		for _, s := range now {
			if !s.carries {
				continue
			}
			nearest, bands := n.nearestBands(s, &all, &quiet)
			m := &heard[s.take]
			m.LackDB = append(m.LackDB, float32(sound.PowerDB(nearest[bands-1].lack)))
			m.Steps, m.Blocks = append(m.Steps, step), append(m.Blocks, s.block)
		}
	}
	return heard
}

// excited is what all takes of a moment excite together.
func (n *Note) excited(now []sounding) (all Excitation) {
	for _, s := range now {
		for band, power := range &n.Takes[s.take].spread[s.block] {
			all[band] += s.power * power
		}
	}
	return all
}

// lacking is a band and what a take's power has to be multiplied by to be heard in it.
type lacking struct {
	lack float64
	band int
}

// nearestBands are those by which a take is heard first, the one in which it lacks the least first: heardBands of any,
// or the fewer ones that hold most of its power.
func (n *Note) nearestBands(s sounding, all, quiet *Excitation) (nearest [heardBands]lacking, bands int) {
	for i := range nearest {
		nearest[i].lack = math.Inf(1)
	}
	take := &n.Takes[s.take]
	own, spread := &take.own[s.block], &take.spread[s.block]
	needed := func(band int) float64 { return max(masked*(all[band]-s.power*spread[band]), quiet[band]) }
	// What is far below is left out before it is divided: bands of silence are many.
	last := &nearest[heardBands-1]
	for band, power := range own {
		if power == 0 {
			continue
		}
		power *= s.power
		if most := power * last.lack; masked*(all[band]-s.power*spread[band]) < most && quiet[band] < most {
			nearer(nearest[:], lacking{needed(band) / power, band})
		}
	}
	var few [heardBands]lacking
	main := take.main[s.block]
	for i := range main.count {
		few[i].lack = math.Inf(1)
		nearer(few[:i+1], lacking{needed(main.bands[i]) / (s.power * own[main.bands[i]]), main.bands[i]})
	}
	if main.count > 0 && few[main.count-1].lack < nearest[heardBands-1].lack {
		return few, main.count
	}
	return nearest, heardBands
}

// nearer puts a band at its place among those in which a take lacks the least; the last of them falls out.
func nearer(nearest []lacking, l lacking) {
	i := len(nearest) - 1
	for ; i > 0 && nearest[i-1].lack > l.lack; i-- {
		nearest[i] = nearest[i-1]
	}
	nearest[i] = l
}

// mainBands are the bands that hold most of a sound's power, if they are fewer than heardBands; else there are none.
type mainBands struct {
	bands [heardBands - 1]int
	count int
}

func mainOf(e *Excitation) (m mainBands) {
	left := (1 - mostPower) * e.sum()
	rest := e.sum()
	if rest == 0 {
		return m
	}
	for m.count < len(m.bands) && rest > left {
		strongest := -1
		for band, power := range e {
			if (strongest < 0 || power > e[strongest]) && !slices.Contains(m.bands[:m.count], band) {
				strongest = band
			}
		}
		m.bands[m.count] = strongest
		m.count++
		rest -= e[strongest]
	}
	if rest > left {
		return mainBands{}
	}
	return m
}
