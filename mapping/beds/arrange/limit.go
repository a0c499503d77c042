// Peaks: strokes that would stand far above the ceiling are rounded, each for itself; a limiter does the rest.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	limitedDB = 3.0 // so much of a stroke's peak is left to the limiter
	roundDB   = 9.0 // and no more than this is taken from it by rounding
	rounds    = 3   // rounding takes loudness away, giving it back makes peaks

	aheadSec = 0.005 // down over so long before a peak
	backSec  = 0.12  // time constant of the way back, slow enough not to be heard as distortion
	roundSec = 0.03  // the same for a single stroke, whose body is to stay as it is
)

// round rounds the peaks of struck parts that alone would pass the ceiling once the bed is at its loudness. Each part
// keeps its loudness, so that beds led by sharp takes are as loud as others.
func (a *arranger) round(gains []float64, bands []Bands) {
	sum := 0.0
	for i := range bands {
		sum += bands[i].heardPower()
	}
	for i := range gains {
		if !a.materials[i].strikes || gains[i] == 0 {
			continue
		}
		s, leftDB := &a.stems[i], roundDB
		for range rounds {
			peak := float64(highest(s.left, s.right))
			excessDB := min(a.excessDB(gains[i]*gains[i]*peak*peak, sum), leftDB)
			if excessDB < closeDB {
				break
			}
			leftDB -= excessDB
			limitPeaks(s.left, s.right, peak*sound.DBToAmplitude(-excessDB), roundSec, a.rateHz)
			gains[i], bands[i] = a.level(i)
		}
	}
}

// excessDB is how far a squared peak stands above what is left to the limiter, in a bed whose K-weighted power is mean
// now and that will be at its loudness.
func (a *arranger) excessDB(peak, mean float64) float64 {
	return sound.PowerDB(peak*sound.SquareOfLUFS(a.settings.TargetLUFS)/mean) - a.settings.CeilingDBTP - limitedDB
}

// limitPeaks turns both channels down around samples above a limit, and back with a time constant.
func limitPeaks(left, right []float32, limit, backSec float64, rateHz int) {
	ahead := max(int(aheadSec*float64(rateHz)), 1)
	back := float32(math.Exp(-1 / (backSec * float64(rateHz))))
	top := float32(limit)
	// How far below 1 the gain must be; walking backwards, a peak asks for a straight line that reaches its depth
	// there.
	down := make([]float32, len(left)+1)
	right = right[:len(left)]
	slope, next := float32(0), float32(0)
	for i, l := range slices.Backward(left) {
		ask, here := float32(0), next-slope
		// Without their signs, floating-point numbers are in the order of their bits.
		if high := math.Float32frombits(max(bitsOf(l), bitsOf(right[i]))); high > top {
			ask = 1 - top/high
		}
		if !(here > ask) {
			here = ask
			if ask > 0 {
				slope = max(slope, ask/float32(ahead))
			}
		}
		if here == 0 {
			slope = 0
		}
		down[i], next = here, here
	}
	held := down[0]
	for i := range left {
		held *= back
		if down[i] > held {
			held = down[i]
		}
		left[i] *= 1 - held
		right[i] *= 1 - held
	}
}

// bitsOf are those of a sample without its sign.
func bitsOf(x float32) uint32 { return math.Float32bits(x) &^ (1 << 31) }
