// One moment of what is being played: which takes stand out in it.

package hearing

import (
	"cmp"
	"slices"

	"lapstrake/mapping/sound"
)

// Playing is a cycle that sounds at a moment.
type Playing struct {
	Cycle // StartTurns is where it stands now
	Power float64
}

// Standing is a take that is heard at a moment.
type Standing struct {
	Cycle, Bed, Take int     // indices: in what is playing, in its beds, in the bed's takes
	ByDB             float64 // more than it would need to be heard
	Sones            float64 // how loud it is within all the others
}

// MeanPower is that of a cycle over its turn, full scale being 1.
func (c *Cycle) MeanPower() float64 {
	sum, blocks := 0.0, 0
	for sec := 0.0; sec < c.turnSec(); sec += BlockSec {
		moment := *c
		moment.StartTurns, moment.Ratio = sec/c.turnSec(), 1
		for _, now := range moment.at(0) {
			for _, course := range moment.Beds[now.bed].Takes {
				e := course.At(int(now.sec / BlockSec))
				sum += now.power * e.sum()
			}
		}
		blocks++
	}
	return sum / float64(max(blocks, 1))
}

// StandOut lists the takes that are heard now, the loudest first, by the rule of Note.Listen. meanPower is that of all
// that plays over its time, which is taken to be NoteDBSPL loud; with 0 nothing is heard.
func StandOut(playing []Playing, meanPower float64) []Standing {
	if meanPower <= 0 {
		return nil
	}
	n, now := noteNow(playing)
	toSPL := sound.DBToPower(NoteDBSPL) / meanPower
	quiet := thresholds
	for band := range quiet {
		quiet[band] /= toSPL
	}
	all := n.excited(now)
	var own Excitation
	for _, s := range now {
		for band, power := range &n.Takes[s.take].own[0] {
			own[band] += toSPL * s.power * power
		}
	}
	var heard []Standing
	for _, s := range now {
		nearest, bands := n.nearestBands(s, &all, &quiet)
		lackDB := sound.PowerDB(nearest[bands-1].lack)
		if lackDB > 0 {
			continue
		}
		take := &n.Takes[s.take]
		var alone, others Excitation
		for band, power := range &take.own[0] {
			alone[band] = toSPL * s.power * power
			others[band] = max(own[band]-alone[band], 0)
		}
		heard = append(heard, Standing{take.Cycle, take.Bed, take.Take, -lackDB, PartialSones(&alone, &others)})
	}
	slices.SortFunc(heard, func(a, b Standing) int {
		return cmp.Or(cmp.Compare(b.Sones, a.Sones), cmp.Compare(a.Cycle, b.Cycle), cmp.Compare(a.Bed, b.Bed),
			cmp.Compare(a.Take, b.Take))
	})
	return heard
}

// noteNow is a note of one block: what sounds now.
func noteNow(playing []Playing) (n *Note, now []sounding) {
	n = &Note{}
	for i := range playing {
		p := &playing[i]
		if p.Power == 0 {
			continue
		}
		var move *moving
		for _, carries := range p.at(0) {
			if carries.power == 0 {
				continue
			}
			if move == nil {
				move = newMoving(p.Ratio)
			}
			block := int(carries.sec / BlockSec)
			for k, course := range p.Beds[carries.bed].Takes {
				if block >= course.Blocks() {
					continue
				}
				e := course.At(block)
				moved := move.of(&e)
				now = append(now, sounding{len(n.Takes), 0, p.Power * carries.power, carries.power >= 0.5})
				n.Takes = append(n.Takes, InNote{Cycle: i, Bed: carries.bed, Take: k, own: []Excitation{moved},
					spread: []Excitation{moved.Spread()}, main: []mainBands{mainOf(&moved)}})
			}
		}
	}
	return n, now
}
