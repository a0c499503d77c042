// Variant: a bank that is made smaller, and what it gives up for that.

package export

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping/export/dls"
)

// Variant says of which cycles a bank or a page is made.
type Variant struct {
	Cycles Cycles   // nil: those of the job
	GaveUp []string // in words, each with what is left
}

// bankBits is the depth of every bank. The standard's other one, 8 bits, is not offered: the noise of its dither lies
// at −48 dBFS, and a cycle with room for chords above it at −35 dBFS or so, while less than 40 dB between the two is
// heard in every rest.
const bankBits = 16

// shrinking is one way to make a bank smaller.
type shrinking struct {
	rateHz int     // 0: the beds' own
	share  float64 // of the longest bed's seconds, which no bed has more of
	mono   bool
}

// shrinkings lists all ways.
func shrinkings() (all []shrinking) {
	const parts = 16 // of the longest bed
	for _, rateHz := range []int{0, 44100, 32000, 24000, 16000} {
		for part := parts; part > 0; part-- {
			all = append(all, shrinking{rateHz: rateHz, share: float64(part) / parts})
		}
	}
	return all
}

// cost weighs what a way gives up in the cycle that it takes the most from. The weights are a matter of taste. Half
// the rate takes what lies above 12 kHz, which beds miss least; lower rates cost more and more. Half the length makes
// a chord come back twice as soon. One channel takes everybody's place away.
func (j *Job) cost(s shrinking, left Cycles) float64 {
	const halfTheRate, moreAndMore, halfTheLength, halfTheSides = 7, 2.2, 11, 16
	cost := 0.0
	for zone := range j.Map.Zones {
		for layer := range j.Map.Layers {
			was, is := j.Cycles(zone, layer), left(zone, layer)
			here := halfTheLength * math.Log2(max(was.Seconds(0)/is.Seconds(0), 1))
			if s.rateHz > 0 {
				here += halfTheRate * math.Pow(math.Log2(float64(was.RateHz)/float64(s.rateHz)), moreAndMore)
			}
			cost = max(cost, here)
		}
	}
	if s.mono {
		cost += halfTheSides
	}
	return cost
}

// OpenCycles opens the map's cycles at a rate, or at their own where that is 0, on beds of at most a share (0 to 1) of
// the longest one.
type OpenCycles func(rateHz int, share float64) (Cycles, error)

// ErrBudget says that no bank fits into a budget.
var ErrBudget = errors.New("too small a budget")

// FitBank finds the bank of least cost that fits into a budget. open gives the map's cycles at a rate (0: the beds'
// own) on beds of at most a share of the longest one, or an error where that is too short. It may close the cycles
// that it gave before, but not the job's own. A budget that no bank fits into gives ErrBudget.
func (j *Job) FitBank(budgetBytes int64, open OpenCycles) (Variant, error) {
	v, smallest, err := j.fit(budgetBytes, shrinkings(), open, (*Job).bankVariantBytes)
	if errors.Is(err, ErrBudget) {
		return v, fmt.Errorf("%w: %d kB, and the smallest bank that can be made has %d kB; "+
			"allow more, or give the map fewer zones or layers (8 bits are not offered: their noise is heard)",
			ErrBudget, budgetBytes/1000, (smallest+999)/1000)
	}
	return v, err
}

// variantBytes is how large what is made of the cycles of a way becomes.
type variantBytes func(j *Job, s shrinking, v Variant) (int64, error)

// fit finds the variant of least cost among ways that fits into a budget; where none does, the error is ErrBudget and
// smallest the size of the smallest.
func (j *Job) fit(budgetBytes int64, ways []shrinking, open OpenCycles, bytes variantBytes) (v Variant, smallest int64,
	err error) {
	best, least, smallest := shrinking{}, math.Inf(1), int64(math.MaxInt64)
	for _, s := range ways {
		if s.rateHz >= j.slowestHz() {
			continue
		}
		v, sizeBytes, err := j.variant(s, open, bytes)
		if err != nil && s == (shrinking{share: 1}) {
			return Variant{}, 0, err
		}
		if err != nil {
			continue // beds shorter than twice the overlap, or a rate that no conversion reaches
		}
		smallest = min(smallest, sizeBytes)
		if cost := j.cost(s, v.Cycles); sizeBytes <= budgetBytes && cost < least {
			best, least = s, cost
		}
	}
	if math.IsInf(least, 1) {
		return Variant{}, smallest, ErrBudget
	}
	v, _, err = j.variant(best, open, bytes)
	if err == nil {
		v.GaveUp = j.gaveUp(best, v)
	}
	return v, smallest, err
}

// variant opens the cycles for a way, and says how large what is made of them becomes.
func (j *Job) variant(s shrinking, open OpenCycles, bytes variantBytes) (v Variant, sizeBytes int64, err error) {
	cycles, err := open(s.rateHz, s.share)
	if err != nil {
		return v, 0, err
	}
	if s.mono {
		cycles = inMono(cycles)
	}
	v = Variant{Cycles: cycles}
	sizeBytes, err = bytes(j, s, v)
	return v, sizeBytes, err
}

// bankVariantBytes is how large the bank of a variant becomes.
func (j *Job) bankVariantBytes(_ shrinking, v Variant) (int64, error) {
	with := *j
	with.Variant = v
	items, err := with.bankItems()
	if err != nil {
		return 0, err
	}
	return dls.SizeBytes(&j.layBank(items, bankBits).Bank), nil
}

// bankItems are the items of the job's variant. A bank knows no presses: it holds the first of each.
func (j *Job) bankItems() ([]Item, error) {
	with := *j
	if j.Variant.Cycles != nil {
		with.Cycles = j.Variant.Cycles
	}
	items, err := with.items()
	return slices.DeleteFunc(items, func(i Item) bool { return i.Press > 1 }), err
}

// slowestHz is the lowest rate of the map's cycles.
func (j *Job) slowestHz() int {
	slowest := math.MaxInt
	for zone := range j.Map.Zones {
		for layer := range j.Map.Layers {
			slowest = min(slowest, j.Cycles(zone, layer).RateHz)
		}
	}
	return slowest
}

// gaveUp says in words what is left of the highest rate, and of the cycle that is shortened the most.
func (j *Job) gaveUp(s shrinking, v Variant) (lines []string) {
	rateHz, was, is := 0, 1.0, 1.0
	for zone := range j.Map.Zones {
		for layer := range j.Map.Layers {
			whole, left := j.Cycles(zone, layer), v.Cycles(zone, layer).Seconds(0)
			rateHz = max(rateHz, whole.RateHz)
			if whole.Seconds(0)*is > was*left {
				was, is = whole.Seconds(0), left
			}
		}
	}
	if s.rateHz > 0 {
		lines = append(lines, fmt.Sprintf("%d Hz instead of %d: nothing is left above %.0f kHz",
			s.rateHz, rateHz, float64(s.rateHz)/2000))
	}
	if s.share < 1 {
		lines = append(lines, fmt.Sprintf("cycles of %.1f s instead of %.1f: a chord comes back sooner", is, was))
	}
	if s.mono {
		lines = append(lines, "one channel instead of two: nobody stands left or right")
	}
	return lines
}
