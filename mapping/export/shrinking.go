// Ways to make a part smaller, and what each of them weighs.

package export

import (
	"fmt"
	"math"

	"lapstrake/mapping/wav"
)

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

// The weights of what is given up are a matter of taste; the way of the least sum is taken. Half the rate takes what
// lies above 12 kHz, which beds miss least; lower rates weigh more and more. Half the length makes a chord come back
// twice as soon. Bits are missed in rests alone, dithered as they are; width, at once.
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
