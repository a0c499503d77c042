// Clipping: runs of samples held at a channel's highest or lowest value.

package measure

import (
	"math"

	"lapstrake/mapping/takes/decode"
)

const (
	clippedRun     = 3   // samples that stand still before it is called clipping
	clippedLeast   = 0.1 // of full scale: below that, samples stand still because they are coarse
	clippedShallow = 16  // how much deeper the flank is looked at, in tolerances
)

// tolerance is how far samples may differ and still be the same value: half a step of the stored numbers.
func tolerance(s *decode.Sound) float32 {
	bits := s.Bits
	if bits == 0 || bits > 16 {
		bits = 16 // lossy decoders clip 16-bit numbers; finer ones are often clipped and then dithered or turned down
	}
	return float32(math.Ldexp(1, -bits))
}

// clipped counts the runs held at the highest and at the lowest value of a channel, and the samples in them. A run
// counts when the waveform arrives and leaves steeply: the round top of a low note also stands still, but a parabola
// is four times wider at sixteen times the depth, and a cut one is not even twice as wide.
func clipped(channel []float32, tolerance float32) (runs, samples int) {
	for _, sign := range []float32{1, -1} {
		top := float32(0)
		for _, x := range channel {
			top = max(top, sign*x)
		}
		if top < max(clippedLeast, 32*tolerance) {
			continue
		}
		for i := 0; i < len(channel); i++ {
			if sign*channel[i] < top-tolerance {
				continue
			}
			from := i
			for i < len(channel) && sign*channel[i] >= top-tolerance {
				i++
			}
			if i-from < clippedRun {
				continue
			}
			limit := 2*(i-from) + 2
			if width(channel, from, i, sign, top-clippedShallow*tolerance, limit) < limit {
				runs++
				samples += i - from
			}
		}
	}
	return runs, samples
}

// width is how many samples around a run stand above a depth, counted up to a limit.
func width(channel []float32, from, to int, sign, depth float32, limit int) int {
	for from > 0 && to-from < limit && sign*channel[from-1] >= depth {
		from--
	}
	for to < len(channel) && to-from < limit && sign*channel[to] >= depth {
		to++
	}
	return to - from
}
