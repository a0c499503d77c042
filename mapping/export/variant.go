// Variant: a bank that is smaller than it could be, and what it gave up for that.

package export

import (
	"cmp"
	"fmt"
	"slices"

	"lapstrake/mapping/export/dls"
)

// Variant says of which cycles a bank is made, and at which depth.
type Variant struct {
	Cycles    Cycles   // nil: those of the job
	Bits      int      // 8 or 16; 0: 16
	GaveUp    []string // in words, each with what is left
	SizeBytes int64
}

// shrinking is one way to make a bank smaller.
type shrinking struct {
	rateHz int     // 0: the beds' own
	share  float64 // of the seconds of each bed that are used
	bits   int
	cost   int
}

// shrinkings lists all ways, the least loss first. The cost of each part is a matter of taste: what lies above 12 kHz is
// missed least in beds, then the length of cycles, which is what keeps a chord from coming back; eight bits are heard
// at once.
func shrinkings() (all []shrinking) {
	type step struct {
		rateHz int
		share  float64
		bits   int
		cost   int
	}
	rates := []step{{0, 0, 0, 0}, {44100, 0, 0, 1}, {32000, 0, 0, 3}, {24000, 0, 0, 7}, {16000, 0, 0, 14}}
	shares := []step{{0, 1, 0, 0}, {0, 3. / 4, 0, 3}, {0, 1. / 2, 0, 6}, {0, 1. / 3, 0, 9}, {0, 1. / 4, 0, 12}, {0, 1. / 8, 0, 18}}
	depths := []step{{0, 0, 16, 0}, {0, 0, 8, 40}}
	for _, rate := range rates {
		for _, share := range shares {
			for _, depth := range depths {
				all = append(all, shrinking{rate.rateHz, share.share, depth.bits, rate.cost + share.cost + depth.cost})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b shrinking) int { return cmp.Compare(a.cost, b.cost) })
	return all
}

// FitBank finds the bank of least loss that fits into a budget. open gives the map's cycles at a rate (0: the beds' own)
// on a share of each bed, or an error where the beds are too short for that.
func (j *Job) FitBank(budgetBytes int64, open func(rateHz int, share float64) (Cycles, error)) (Variant, error) {
	full, err := j.variant(shrinking{share: 1, bits: 16}, open)
	if err != nil {
		return Variant{}, err
	}
	smallest := full.SizeBytes
	for _, s := range shrinkings() {
		if s.rateHz >= j.slowestHz() {
			continue
		}
		v, err := j.variant(s, open)
		if err != nil {
			continue // beds shorter than twice their overlap
		}
		if v.SizeBytes <= budgetBytes {
			v.GaveUp = j.gaveUp(s)
			return v, nil
		}
		smallest = min(smallest, v.SizeBytes)
	}
	return Variant{}, fmt.Errorf("a bank of %.1f MB: the smallest that can be made has %.1f MB; allow more, or give the map fewer zones or layers", float64(budgetBytes)/1e6, float64(smallest)/1e6)
}

// variant opens a way to make the bank and tells how large it gets.
func (j *Job) variant(s shrinking, open func(rateHz int, share float64) (Cycles, error)) (Variant, error) {
	cycles, err := open(s.rateHz, s.share)
	if err != nil {
		return Variant{}, err
	}
	v := Variant{Cycles: cycles, Bits: s.bits}
	items, err := j.bankItems(v)
	if err != nil {
		return Variant{}, err
	}
	v.SizeBytes = dls.SizeBytes(&j.layBank(items, v.bits()).Bank)
	return v, nil
}

func (v Variant) bits() int { return cmp.Or(v.Bits, 16) }

// bankItems are the items of a variant.
func (j *Job) bankItems(v Variant) ([]Item, error) {
	with := *j
	if v.Cycles != nil {
		with.Cycles = v.Cycles
	}
	return with.items()
}

// slowestHz is the lowest rate of the map's cycles.
func (j *Job) slowestHz() int {
	slowest := j.Cycles(0, 0).RateHz
	for zone := range j.Map.Zones {
		for layer := range j.Map.Layers {
			slowest = min(slowest, j.Cycles(zone, layer).RateHz)
		}
	}
	return slowest
}

func (j *Job) gaveUp(s shrinking) (lines []string) {
	whole := j.Cycles(0, 0)
	if s.rateHz > 0 {
		lines = append(lines, fmt.Sprintf("%d Hz instead of %d: nothing is left above %.0f kHz", s.rateHz, whole.RateHz, float64(s.rateHz)/2000))
	}
	if s.share < 1 {
		lines = append(lines, fmt.Sprintf("%.0f %% of each bed: a cycle of %.1f s comes back sooner", 100*s.share, whole.Seconds(0)))
	}
	if s.bits < 16 {
		lines = append(lines, fmt.Sprintf("%d bits instead of 16: noise at −45 dBFS, which is heard", s.bits))
	}
	return lines
}
