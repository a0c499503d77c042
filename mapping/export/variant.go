// Variant: a part that is made smaller, and what it gives up for that.

package export

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/wav"
)

// Variant says of which cycles a bank, a page or sets of files are made.
type Variant struct {
	Cycles Cycles     // nil: those of the job
	Format wav.Format // of the sets; a bank has bankBits
	GaveUp []string   // in words, each with what is left
	Order  string     // by which weights that was chosen
}

// bankBits is the depth of every bank. The standard's other one, 8 bits, is not offered: the noise of its dither lies
// at −48 dBFS, and a cycle with room for chords above it at −35 dBFS or so, while less than 40 dB between the two is
// heard in every rest.
const bankBits = 16

// OpenCycles opens the map's cycles at a rate, or at their own where that is 0, on beds of at most a share (0 to 1) of
// the longest one.
type OpenCycles func(rateHz int, share float64) (Cycles, error)

// ErrBudget says that nothing fits into a budget.
var ErrBudget = errors.New("too small a budget")

// FitBank finds the bank of least weight that fits into a budget. open gives the map's cycles at a rate (0: the beds'
// own) on beds of at most a share of the longest one, or an error where that is too short. It may close the cycles that
// it gave before, but not the job's own. A budget that no bank fits into gives ErrBudget.
func (j *Job) FitBank(budgetBytes int64, open OpenCycles) (Variant, error) {
	v, smallest, err := j.fit(budgetBytes, open, shrinking.alone, (*Job).bankVariantBytes)
	if errors.Is(err, ErrBudget) {
		return v, fmt.Errorf("%w: %d kB, and the smallest bank that can be made has %d kB; "+
			"allow more, or give the map fewer zones or layers (8 bits are not offered: their noise is heard)",
			ErrBudget, budgetBytes/1000, (smallest+999)/1000)
	}
	return v, err
}

// FitSets does as FitBank for the sets of files, each of which fits into the budget by itself. FLAC counts as plain
// samples.
func (j *Job) FitSets(budgetBytes int64, open OpenCycles) (Variant, error) {
	v, smallest, err := j.fit(budgetBytes, open, shrinking.ofSets, (*Job).setVariantBytes)
	if errors.Is(err, ErrBudget) {
		return v, fmt.Errorf("%w: %d kB, and the smallest set of files that can be made has %d kB; "+
			"allow more, or give the map fewer zones, layers or starts",
			ErrBudget, budgetBytes/1000, (smallest+999)/1000)
	}
	return v, err
}

// variantBytes is how large what is made of the cycles of a way becomes.
type variantBytes func(j *Job, s shrinking, v Variant) (int64, error)

// fit finds the way of least weight that fits into a budget. ways lists, for a rate and a length, all that can be
// given up with it. Where none fits, the error is ErrBudget and smallest the size of the smallest.
func (j *Job) fit(
	budgetBytes int64, open OpenCycles, ways func(shrinking) []shrinking, bytes variantBytes,
) (v Variant, smallest int64, err error) {
	best, least := shrinking{}, math.Inf(1)
	smallest = math.MaxInt64
	for _, reopening := range reopenings(j.Format) {
		if reopening.rateHz >= j.slowestHz() {
			continue
		}
		cycles, err := open(reopening.rateHz, reopening.share)
		if err != nil && reopening.rateHz == 0 && reopening.share == 1 {
			return Variant{}, 0, err
		}
		if err != nil {
			continue // beds shorter than twice the overlap, or a rate that no conversion reaches
		}
		for _, way := range ways(reopening) {
			sizeBytes, err := bytes(j, way, way.of(cycles))
			if err != nil {
				return Variant{}, 0, err
			}
			smallest = min(smallest, sizeBytes)
			if weight := j.weight(way, cycles); sizeBytes <= budgetBytes && weight < least {
				best, least = way, weight
			}
		}
	}
	if math.IsInf(least, 1) {
		return Variant{}, smallest, ErrBudget
	}
	cycles, err := open(best.rateHz, best.share)
	if err == nil {
		v = best.of(cycles)
		v.GaveUp, v.Order = j.gaveUp(best, v), j.weightsText()
	}
	return v, smallest, err
}

// of is the variant that a way makes of opened cycles.
func (s shrinking) of(cycles Cycles) Variant {
	v := Variant{Cycles: cycles, Format: s.format}
	if s.mono {
		v.Cycles = func(zone, layer int) Cycle {
			c := cycles(zone, layer)
			if !c.Mono {
				c.Mono, c.Source = true, oneSided{c.Source}
			}
			return c
		}
	}
	return v
}

// MakeSets has the job's sets made of a variant. Bank and page are made of the cycles that they have, or that the job
// had.
func (j *Job) MakeSets(v Variant) {
	for _, other := range []*Variant{&j.Variant, &j.Page} {
		if other.Cycles == nil {
			other.Cycles, other.Format = j.Cycles, j.Format
		}
	}
	j.Sets, j.Cycles, j.Format = v, v.Cycles, v.Format
}

// with is the job with a variant of its cycles.
func (j *Job) with(v Variant) Job {
	with := *j
	if v.Cycles != nil {
		with.Cycles, with.Format = v.Cycles, v.Format
	}
	return with
}

// oneSided has both sides of a source made one, as loud as both were where they are unrelated.
type oneSided struct{ Source }

// ReadFrames implements Source.
func (o oneSided) ReadFrames(dst []float32, pos int64) error {
	err := o.Source.ReadFrames(dst, pos)
	for k := 0; k < len(dst); k += 2 {
		dst[k] = (dst[k] + dst[k+1]) / math.Sqrt2
		dst[k+1] = dst[k]
	}
	return err
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

// setVariantBytes is how large the largest of the sets of a variant becomes at most.
func (j *Job) setVariantBytes(_ shrinking, v Variant) (largest int64, err error) {
	with := j.with(v)
	items, err := with.items()
	if err != nil {
		return 0, err
	}
	for _, set := range with.folders() {
		total := int64(0)
		for k := range items {
			sizeBytes, err := set.sizeBytes(&with, items[k:k+1])
			if err != nil {
				return 0, err
			}
			total += sizeBytes
		}
		largest = max(largest, total)
	}
	return largest, nil
}

// bankItems are the items of the job's variant. A bank knows no presses: it holds the first of each.
func (j *Job) bankItems() ([]Item, error) {
	with := j.with(j.Variant)
	items, err := with.items()
	return slices.DeleteFunc(items, func(i Item) bool { return i.Press > 1 }), err
}
