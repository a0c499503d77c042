// The noise that is always there.

package hearing

import (
	"slices"

	"lapstrake/mapping/sound"
)

const (
	floorFrameSec  = 0.68 // tells apart the partials of the lowest keys
	floorMomentSec = 2    // of spectra that are looked at together
	floorBins      = 12   // at least so many bins make a band; above, an auditory band does
	floorTenth     = 10   // of the moments, the quietest: what is left then is there all the time
	overlapWorth   = 0.75 // of a spectrum that shares half its frames with the next
)

// NoiseFloor finds the noise under a sound: the power of each bin, mean squares summed over the channels, as far as it
// is there all the time. In each auditory band of every 2 s the lower quartile of the bins tells it, since partials
// leave most bins to the noise, raised to the mean that noise of this quartile has; of those, a band's quietest tenth
// tells what never goes away. What sounds between the partials for as long as the sound lasts counts as noise, breath
// and rain too. Where partials lie closer than about 10 Hz there is nothing between them, and the figure is too high.
// Noise that stands still is told up to 1 dB too low in the lowest bands, by chance.
func NoiseFloor(channels [][]float32, rateHz int) (power []float64, binHz float64) {
	size := sound.PowerOfTwo(floorFrameSec, rateHz)
	spectrum := sound.BorrowSpectrum(size)
	defer spectrum.GiveBack()
	binHz = float64(rateHz) / float64(size)
	bands := floorBands(size/2+1, binHz)
	frames, hop := len(channels[0]), size/2
	together := max(int(floorMomentSec*float64(rateHz))/hop, 1)
	raise := 1 / sound.NoiseQuartile(overlapWorth*float64(together*len(channels)))
	moments := make([][]float64, len(bands)-1)
	mean, sorted := make([]float64, size/2+1), []float64(nil)
	for from := size / 2; from+(together-1)*hop+size/2 <= frames; from += together * hop {
		clear(mean)
		for k := range together {
			for _, channel := range channels {
				for i, p := range spectrum.At(channel, from+k*hop) {
					mean[i] += p / float64(together)
				}
			}
		}
		for band := range moments {
			sorted = append(sorted[:0], mean[bands[band]:bands[band+1]]...)
			slices.Sort(sorted)
			moments[band] = append(moments[band], sorted[len(sorted)/4]*raise)
		}
	}
	power = make([]float64, size/2+1)
	for band, levels := range moments {
		if len(levels) == 0 {
			continue
		}
		slices.Sort(levels)
		for i := bands[band]; i < bands[band+1]; i++ {
			power[i] = levels[len(levels)/floorTenth]
		}
	}
	return power, binHz
}

// floorBands are the first bins of bands, with the bin beyond the last one at their end.
func floorBands(bins int, binHz float64) []int {
	bands := []int{1} // without what stands still
	for at := 1; at < bins; {
		upper := int(sound.ERBHz(sound.ERBNumber(float64(at)*binHz)+1) / binHz)
		if at = max(at+floorBins, upper); bins-at < floorBins {
			at = bins
		}
		bands = append(bands, at)
	}
	return bands
}
