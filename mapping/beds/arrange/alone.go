// One part of a bed by itself, as the bed has it.

package arrange

import (
	"math"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
)

// aloneSec is how far apart the points are between which the bed's own way with its level is followed.
const aloneSec = 0.01

// Alone is what one part, given by its place, contributes to the bed that Bed makes of the same arguments: where it
// sounds, how loud it is there, and what became of the level of the whole. All of them together are the bed, but for a
// width that was narrowed.
func Alone(parts []Part, part int, company hearing.Company, s project.ArrangeSettings, frames, rateHz int,
	seed uint64) (left, right []float32, err error) {
	left, right = make([]float32, frames), make([]float32, frames)
	sum := stem{make([]float32, frames), make([]float32, frames)}
	bed, err := arrangeBed(parts, company, s, frames, rateHz, seed, func(of int, laid *stem, gain float64) {
		laid.addTo(sum.left, sum.right, gain)
		if of == part {
			laid.addTo(left, right, gain)
		}
	})
	if err != nil {
		return nil, nil, err
	}
	block := max(int(aloneSec*float64(rateHz)), 1)
	gain := 1.0 // at the beginning of a block
	for from := 0; from < frames; from += block {
		to := min(from+block, frames)
		next := gain
		if before := powerOf(sum.left[from:to], sum.right[from:to]); before > 0 {
			next = math.Sqrt(powerOf(bed.Left[from:to], bed.Right[from:to]) / before)
		}
		if from == 0 {
			gain = next
		}
		for i := from; i < to; i++ {
			g := float32(gain + (next-gain)*float64(i-from)/float64(to-from))
			left[i] *= g
			right[i] *= g
		}
		gain = next
	}
	return left, right, nil
}

// powerOf is the sum of the squares of both sides.
func powerOf(left, right []float32) (power float64) {
	for i, l := range left {
		power += float64(l)*float64(l) + float64(right[i])*float64(right[i])
	}
	return power
}
