// Peaks: struck takes whose peaks would stand far above the ceiling are laid in more softly; a limiter does the rest.

package arrange

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	limitedDB = 3.0 // so much of a stroke's peak is left to the limiter
	softenDB  = 9.0 // a take is laid in softer by no more than this

	aheadSec = 0.005 // down over so long before a peak
	backSec  = 0.12  // time constant of the way back, slow enough not to be heard as distortion
)

// soften lowers struck parts whose peaks alone would pass the ceiling once the bed is at its loudness.
func (a *arranger) soften(gains []float64, bands []Bands) {
	sum := 0.0
	for i := range bands {
		sum += bands[i].heardPower()
	}
	for i := range gains {
		if !a.materials[i].strikes || gains[i] == 0 {
			continue
		}
		peak := gains[i] * float64(highest(a.stems[i].left, a.stems[i].right))
		excessDB := a.excessDB(peak*peak, sum)
		if excessDB > 0 {
			softer := sound.DBToPower(-min(excessDB, softenDB))
			gains[i] *= math.Sqrt(softer)
			bands[i].scale(softer)
		}
	}
}

// excessDB is how far a squared peak stands above what is left to the limiter, in a bed whose K-weighted power is mean
// now and that will be at its loudness.
func (a *arranger) excessDB(peak, mean float64) float64 {
	return sound.PowerDB(peak*sound.SquareOfLUFS(a.settings.TargetLUFS)/mean) - a.settings.CeilingDBTP - limitedDB
}

// limitPeaks turns both channels down around samples above a limit.
func limitPeaks(left, right []float32, limit float64, rateHz int) {
	ahead := max(int(aheadSec*float64(rateHz)), 1)
	back := float32(math.Exp(-1 / (backSec * float64(rateHz))))
	top := float32(limit)
	// How far below 1 the gain must be; walking backwards, a peak asks for a straight line that reaches its depth
	// there.
	down := make([]float32, len(left)+1)
	slope := float32(0)
	for i := len(left) - 1; i >= 0; i-- {
		ask := float32(0)
		if high := max(left[i], -left[i], right[i], -right[i]); high > top {
			ask = 1 - top/high
		}
		down[i] = max(ask, down[i+1]-slope)
		switch {
		case ask > 0 && ask >= down[i]:
			slope = max(slope, ask/float32(ahead))
		case down[i] == 0:
			slope = 0
		}
	}
	held := down[0]
	for i := range left {
		held = max(down[i], held*back)
		left[i] *= 1 - held
		right[i] *= 1 - held
	}
}
