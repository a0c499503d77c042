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

// bankBits is the depth of every bank. The standard's other one, 8 bits, is not offered: the noise of its dither lies at
// −48 dBFS, and a cycle with room for chords above it at −35 dBFS or so, while less than 40 dB between the two is heard
// in every rest.
const bankBits = 16

// shrinking is one way to make a part smaller.
type shrinking struct {
	rateHz int        // 0: the beds' own
	share  float64    // of the longest bed's seconds, which no bed has more of
	format wav.Format // of the sets
	mono   bool       // both sides are made one
}

// reducedRates are the rates that are tried.
var reducedRates = []int{44100, 32000, 24000, 16000}

// reopenings lists all rates and lengths; format is that of the sets.
func reopenings(format wav.Format) (all []shrinking) {
	const parts = 16 // of the longest bed
	for _, rateHz := range append([]int{0}, reducedRates...) {
		for part := parts; part > 0; part-- {
			all = append(all, shrinking{rateHz: rateHz, share: float64(part) / parts, format: format})
		}
	}
	return all
}

// alone is the way without anything besides rate and length.
func (s shrinking) alone() []shrinking { return []shrinking{s} }

// ofSets lists what sets can give up besides: bits of a sample, and a side.
func (s shrinking) ofSets() (all []shrinking) {
	for _, mono := range []bool{false, true} {
		for _, format := range []wav.Format{s.format, wav.PCM24, wav.PCM16} {
			if way := s; format == s.format || format.Encoding().Bytes() < s.format.Encoding().Bytes() {
				way.format, way.mono = format, mono
				all = append(all, way)
			}
		}
	}
	return all
}

// The weights of what is given up are a matter of taste; the way of the least sum is taken. Half the rate takes what lies
// above 12 kHz, which beds miss least; lower rates weigh more and more. Half the length makes a chord come back twice as
// soon. Bits are missed in rests alone, dithered as they are; width, at once.
const (
	halfTheRate, moreAndMore = 7, 2.2
	halfTheLength            = 11
	lastByte                 = 1 // of a sample
	oneSide                  = 18
)

func rateWeight(from, to float64) float64 {
	return halfTheRate * math.Pow(math.Log2(from/to), moreAndMore)
}

// weight adds up what a way gives up, in the cycle that it takes the most from.
func (j *Job) weight(s shrinking, left Cycles) float64 {
	most := 0.0
	for zone := range j.Map.Zones {
		for layer := range j.Map.Layers {
			was, is := j.Cycles(zone, layer), left(zone, layer)
			here := halfTheLength * math.Log2(max(was.Seconds(0)/is.Seconds(0), 1))
			if s.rateHz > 0 {
				here += rateWeight(float64(was.RateHz), float64(s.rateHz))
			}
			most = max(most, here)
		}
	}
	if s.mono {
		most += oneSide
	}
	return most + lastByte*float64(j.Format.Encoding().Bytes()-s.format.Encoding().Bytes())
}

// weightsText tells the weights.
func (j *Job) weightsText() string {
	text := fmt.Sprintf("a byte of each sample %d", lastByte)
	from := j.slowestHz()
	for _, to := range reducedRates {
		if to < from {
			text += fmt.Sprintf(", %d Hz for %d %.1f", to, from, rateWeight(float64(from), float64(to)))
		}
	}
	return text + fmt.Sprintf(",\neach halving of the length %d, one side for two %d", halfTheLength, oneSide)
}

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

// FitSets does as FitBank for the sets of files, each of which fits into the budget by itself. FLAC counts as plain samples.
func (j *Job) FitSets(budgetBytes int64, open OpenCycles) (Variant, error) {
	v, smallest, err := j.fit(budgetBytes, open, shrinking.ofSets, (*Job).setVariantBytes)
	if errors.Is(err, ErrBudget) {
		return v, fmt.Errorf("%w: %d kB, and the smallest set of files that can be made has %d kB; "+
			"allow more, or give the map fewer zones, layers or starts", ErrBudget, budgetBytes/1000, (smallest+999)/1000)
	}
	return v, err
}

// variantBytes is how large what is made of the cycles of a way becomes.
type variantBytes func(j *Job, s shrinking, v Variant) (int64, error)

// fit finds the way of least weight that fits into a budget. ways lists, for a rate and a length, all that can be given up
// with it. Where none fits, the error is ErrBudget and smallest the size of the smallest.
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

// MakeSets has the job's sets made of a variant. Bank and page are made of the cycles that they have, or that the job had.
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
	if s.format != j.Format {
		lines = append(lines, fmt.Sprintf("samples of %s bits instead of %s", s.format, j.Format))
	}
	if s.rateHz > 0 {
		lines = append(lines, fmt.Sprintf("%d Hz instead of %d: nothing is left above %.0f kHz",
			s.rateHz, rateHz, float64(s.rateHz)/2000))
	}
	if s.share < 1 {
		lines = append(lines, fmt.Sprintf("cycles of %.1f s instead of %.1f: a chord comes back sooner", is, was))
	}
	if s.mono {
		lines = append(lines, "one channel instead of two: no width is left")
	}
	return lines
}
