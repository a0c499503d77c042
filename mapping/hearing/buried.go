// Why a take of a note is not heard: who lies over it and where, and how loud it is within the others.

package hearing

import (
	"cmp"
	"slices"
)

// Over is a take that lies over another one.
type Over struct {
	Take          int     // in Note.Takes
	Share         float64 // of the bands in which the other one would be heard first, 0 to 1
	LowHz, HighHz float64 // between which it lies over it
}

// Over lists who lies over a take at the moments at which it is not heard, who does most first: in each of the bands
// in which it would be heard first, the one of the others that excites most. Bands in which the ear is too deaf for
// the take are nobody's.
func (n *Note) Over(take int, powers []float64, sec float64) (over []Over) {
	toSPL := n.toSPL(powers, sec)
	if toSPL == 0 {
		return nil
	}
	quiet := thresholds
	for band := range quiet {
		quiet[band] /= toSPL
	}
	counts := map[int]*[Bands]int{}
	bands := 0
	var now []sounding
	for step := range steps(sec) {
		now = n.soundingAt(now, float64(step)*StepSec, powers)
		at := slices.IndexFunc(now, func(s sounding) bool { return s.take == take && s.carries })
		if at < 0 {
			continue
		}
		all := n.excited(now)
		nearest, count := n.nearestBands(now[at], &all, &quiet)
		if nearest[count-1].lack <= 1 {
			continue
		}
		for _, near := range nearest[:count] {
			if near.lack <= 1 {
				continue
			}
			bands++
			if most := n.loudestOther(now, take, near.band); most >= 0 {
				if counts[most] == nil {
					counts[most] = &[Bands]int{}
				}
				counts[most][near.band]++
			}
		}
	}
	for other, inBands := range counts {
		o := Over{Take: other}
		sum := 0
		for _, count := range inBands {
			sum += count
		}
		o.Share = float64(sum) / float64(max(bands, 1))
		o.LowHz, o.HighHz = middleBands(inBands, sum)
		over = append(over, o)
	}
	slices.SortFunc(over, func(a, b Over) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.Take, b.Take))
	})
	return over
}

// loudestOther is the take that excites a band most beside one; −1 where no other does.
func (n *Note) loudestOther(now []sounding, take, band int) int {
	most, power := -1, 0.0
	for _, s := range now {
		if p := s.power * n.Takes[s.take].spread[s.block][band]; s.take != take && p > power {
			most, power = s.take, p
		}
	}
	return most
}

// middleBands are the edges between which the middle eight tenths of the counts lie.
func middleBands(counts *[Bands]int, sum int) (lowHz, highHz float64) {
	before := 0
	for band, count := range counts {
		if before <= sum/10 && before+count > sum/10 {
			lowHz = BandHz(float64(band) - 0.5)
		}
		if before < sum-sum/10 && before+count >= sum-sum/10 {
			highHz = BandHz(float64(band) + 0.5)
		}
		before += count
	}
	return lowHz, highHz
}

// sonesEvery is how many steps lie between the moments at which loudness is found.
const sonesEvery = 4

// Sones is how loud a take is within the others, and how loud the whole note is: means over the time in which the
// take's bed carries.
func (n *Note) Sones(take int, powers []float64, sec float64) (partly, whole float64) {
	toSPL := n.toSPL(powers, sec)
	var now []sounding
	moments := 0.0
	for step := 0; step < steps(sec); step += sonesEvery {
		now = n.soundingAt(now, float64(step)*StepSec, powers)
		if !slices.ContainsFunc(now, func(s sounding) bool { return s.take == take && s.carries }) {
			continue
		}
		var own, others, all Excitation
		for _, s := range now {
			for band, power := range &n.Takes[s.take].own[s.block] {
				power *= s.power * toSPL
				all[band] += power
				if s.take == take {
					own[band] += power
				} else {
					others[band] += power
				}
			}
		}
		moments++
		partly += PartialSones(&own, &others)
		whole += PartialSones(&all, &Excitation{})
	}
	return partly / max(moments, 1), whole / max(moments, 1)
}
