// Learning a take's noise: its spectrum in the pauses, or else between the partials.

package clean

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	leastPauseFrames = 6 // of the gate's, which overlap: about two lengths
	mostOverMedian   = 3 // times the median of its neighbours: more than noise reaches in a mean over several frames
	fewestBins       = 8
	quietFrames      = 24 // of those in which the take sounds, the quietest
)

// noiseInPauses is the mean power of each bin where the take does not sound, all channels together; nil when the
// pauses are too short. It is smoothed over frequency, the more the less there was to learn from. What stands out of
// it as a line is not counted: a sound that fades in slowly is there before its onset, and must not be taken for
// noise.
func (g *gate) noiseInPauses(channels [][]float32, rateHz int, t trim, fundamentalHz float64) []float64 {
	var starts []int
	for from := 0; from+g.sizeFrames <= t.onset-g.hopFrames/2; from += g.hopFrames {
		starts = append(starts, from)
	}
	for from := len(channels[0]) - g.sizeFrames; from >= t.end+g.hopFrames/2; from -= g.hopFrames {
		starts = append(starts, from)
	}
	if len(starts) < leastPauseFrames {
		return nil
	}
	// Somebody coughs or moves a chair: the louder half is not the room.
	starts = g.quietest(channels, starts, max(leastPauseFrames, len(starts)/2))
	mean := g.meanSpectrum(channels, starts)
	for k, usual := range runningQuantile(mean, g.partialBins(rateHz, fundamentalHz), 0.5) {
		mean[k] = min(mean[k], mostOverMedian*usual)
	}
	return smoothBins(mean, max(1, 48/len(starts)))
}

// quietest chooses so many frames of the least energy. Digital silence is no noise to learn from.
func (g *gate) quietest(channels [][]float32, starts []int, n int) []int {
	energy := make(map[int]float64, len(starts))
	for _, from := range starts {
		energy[from] = g.meanPower(channels, from, from+g.sizeFrames)
	}
	starts = slices.DeleteFunc(starts, func(from int) bool { return energy[from] == 0 })
	slices.SortFunc(starts, func(a, b int) int {
		if energy[a] != energy[b] {
			if energy[a] < energy[b] {
				return -1
			}
			return 1
		}
		return a - b
	})
	return starts[:min(n, len(starts))]
}

func (g *gate) meanSpectrum(channels [][]float32, starts []int) []float64 {
	mean, spectrum := make([]float64, g.bins), make([]complex128, g.bins)
	for _, from := range starts {
		for _, channel := range channels {
			g.analyse(spectrum, channel, from)
			addPower(mean, spectrum)
		}
	}
	for k := range mean {
		mean[k] /= float64(max(1, len(starts)))
	}
	return mean
}

// noiseBetweenPartials estimates the noise of a take that sounds from end to end: in its quietest frames, at each
// frequency the level that a quarter of the neighbouring bins stay under. The neighbourhood is wider than the
// partials are apart, so what lies between them decides.
func (g *gate) noiseBetweenPartials(channels [][]float32, rateHz int, t trim, fundamentalHz float64) []float64 {
	var starts []int
	for from := t.onset; from+g.sizeFrames <= t.end; from += g.sizeFrames / 2 {
		starts = append(starts, from)
	}
	starts = g.quietest(channels, starts, quietFrames)
	if len(starts) == 0 {
		return nil
	}
	mean := g.meanSpectrum(channels, starts)
	noise := runningQuantile(mean, g.partialBins(rateHz, fundamentalHz), 0.25)
	below := sound.NoiseQuartile(float64(len(starts)))
	for k := range noise {
		noise[k] /= below
	}
	return smoothBins(noise, 2)
}

// partialBins is how many bins lie between two partials; at least as many as a median needs.
func (g *gate) partialBins(rateHz int, fundamentalHz float64) int {
	bins := fundamentalHz * float64(g.sizeFrames) / float64(rateHz)
	if !(bins > fewestBins) {
		return fewestBins
	}
	return int(math.Ceil(min(bins, float64(g.bins)/16)))
}

// runningQuantile gives for each value the quantile of those up to so far to either side. It changes slowly: it is
// found for small groups of values at a time.
func runningQuantile(values []float64, half int, quantile float64) []float64 {
	result := make([]float64, len(values))
	window := make([]float64, 0, 3*half)
	group := max(1, half/4)
	for k := 0; k < len(values); k += group {
		beyond := min(len(values), k+group)
		window = append(window[:0], values[max(0, k-half):min(len(values), beyond+half)]...)
		slices.Sort(window)
		for i := k; i < beyond; i++ {
			result[i] = window[int(quantile*float64(len(window)))]
		}
	}
	return result
}

// smoothBins takes the running mean over so many bins to either side.
func smoothBins(power []float64, half int) []float64 {
	sums := make([]float64, len(power)+1)
	for k, p := range power {
		sums[k+1] = sums[k] + p
	}
	smooth := make([]float64, len(power))
	for k := range smooth {
		from, to := max(0, k-half), min(len(power), k+half+1)
		smooth[k] = (sums[to] - sums[from]) / float64(to-from)
	}
	return smooth
}
