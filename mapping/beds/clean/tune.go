// Tuning: which frequency a take has, and which it is to have.

package clean

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	ownKeyCents     = 70 // a measured pitch this near to the take's key is that key's
	searchCents     = 90 // around the builder's key, when the measured pitch is another
	searchStepCents = 2
	searchPartials  = 8
	longestPitchSec = 1.5  // enough for a resolution of a few cents in the bass
	settleSec       = 0.05 // the attack's noise is left out
)

// fundamental is the take's own frequency, NaN when it has none. The measured one is used when it is that of the
// take's key. When the builder says another key (an octave or a partial was found, or nothing), the frequency is
// looked for near that key; when nothing stands out there, the key's own is used.
func fundamental(channels [][]float32, rateHz int, t trim, measuredHz float64, takeKey int) float64 {
	if takeKey < 0 {
		return math.NaN()
	}
	nominalHz := sound.KeyHz(float64(takeKey))
	if math.Abs(1200*math.Log2(measuredHz/nominalHz)) <= ownKeyCents { // false for NaN
		return measuredHz
	}
	return findPitchNear(nominalHz, channels, rateHz, t)
}

// findPitchNear looks for the frequency near the given one whose partials are strongest.
func findPitchNear(nearHz float64, channels [][]float32, rateHz int, t trim) float64 {
	power, binHz := soundingSpectrum(channels, rateHz, t)
	best, most, least := nearHz, 0.0, math.Inf(1)
	for cents := -searchCents; cents <= searchCents; cents += searchStepCents {
		hz := nearHz * math.Exp2(float64(cents)/1200)
		sum := 0.0
		for partial := 1; partial <= searchPartials; partial++ {
			bin := int(math.Round(float64(partial) * hz / binHz))
			if bin >= len(power)-1 {
				break
			}
			sum += math.Sqrt(power[bin])
		}
		if sum > most {
			most, best = sum, hz
		}
		least = min(least, sum)
	}
	if most < 3*least || most == 0 { // 10 dB: anything less is the unevenness of noise
		return nearHz
	}
	return refineByPeaks(best, power, binHz)
}

// refineByPeaks averages what the spectrum's peaks at the partials say, by their power.
func refineByPeaks(hz float64, power []float64, binHz float64) float64 {
	sum, weight := 0.0, 0.0
	for partial := 1; partial <= searchPartials; partial++ {
		bin := int(math.Round(float64(partial) * hz / binHz))
		if bin < 2 || bin >= len(power)-2 {
			break
		}
		for _, near := range []int{bin - 1, bin + 1} {
			if power[near] > power[bin] {
				bin = near
				break
			}
		}
		if power[bin] <= power[bin-1] || power[bin] <= power[bin+1] {
			continue
		}
		sum += power[bin] * (float64(bin) + sound.PeakOffset(power[bin-1], power[bin],
			power[bin+1])) * binHz / float64(partial)
		weight += power[bin]
	}
	if weight == 0 {
		return hz
	}
	return sum / weight
}

// soundingSpectrum is the power spectrum of the sounding part, of all channels together.
func soundingSpectrum(channels [][]float32, rateHz int, t trim) (power []float64, binHz float64) {
	from := min(t.onset+int(settleSec*float64(rateHz)), t.end-1)
	frames := min(t.end-from, int(longestPitchSec*float64(rateHz)))
	size := 16
	for size < 2*frames { // twice: peaks between bins are found better
		size *= 2
	}
	parts := make([][]float64, len(channels))
	for c, channel := range channels {
		for _, x := range channel[from : from+frames] {
			parts[c] = append(parts[c], float64(x))
		}
	}
	return sound.PaddedPower(parts, size), float64(rateHz) / float64(size)
}
