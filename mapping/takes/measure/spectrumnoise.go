// The noise under a sound: what lies between its partials.

package measure

import (
	"slices"

	"lapstrake/mapping/sound"
)

const (
	partialBandHz   = 150 // width of the bands in which noise is looked for
	partialQuantile = 0.25
	partialRun      = 4   // spectra, 0.4 s, that are looked at together
	noiseSlope      = 2.5 // how much more noise there may be in a band than an octave above
)

// noiseBetween gives the power of the noise in each bin of a mean of so many spectra: in each narrow band
// the lower quartile of the bins, for where partials lie further apart than bins most bins hold only noise. It is
// raised to the mean that noise with this quartile has.
func noiseBetween(power []float64, spectra int, binHz float64) []float64 {
	width := max(8, int(partialBandHz/binHz))
	noise := make([]float64, len(power))
	// Neighbouring spectra share half their frames, so that they are worth three quarters of as many.
	raise := 1 / sound.NoiseQuartile(max(1, 0.75*float64(spectra)))
	var band []float64
	for from := int(lowestHearHz/binHz) + 1; from < len(power); from += width {
		to := min(from+width, len(power))
		band = append(band[:0], power[from:to]...)
		slices.Sort(band)
		level := band[int(partialQuantile*float64(len(band)))] * raise
		for i := from; i < to; i++ {
			noise[i] = level
		}
	}
	return noise
}

// smoothNoise holds noise to what noise is like: towards low frequencies it rises by 4 dB an octave at most. The
// partials of a low note lie too close together to look between; there the noise above them tells.
func smoothNoise(noise []float64, binHz float64) {
	width := max(8, int(partialBandHz/binHz))
	first := int(lowestHearHz/binHz) + 1
	bands := (len(noise) - first + width - 1) / width
	level := func(band int) float64 { return noise[first+band*width] }
	for band := bands - 1; band >= 0; band-- {
		above := make([]float64, 0, band+2)
		for k := band + 1; k < bands && k <= 2*band+1; k++ {
			above = append(above, level(k))
		}
		if len(above) == 0 {
			continue
		}
		slices.Sort(above)
		most := noiseSlope * above[len(above)/2]
		for i := first + band*width; i < min(first+(band+1)*width, len(noise)); i++ {
			noise[i] = min(noise[i], most)
		}
	}
}

func sumOf(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum
}
