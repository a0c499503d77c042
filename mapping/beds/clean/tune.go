// Tuning: which frequency a take has, and which it is to have.

package clean

import (
	"math"
	"math/cmplx"

	"lapstrake/mapping/sound"

	"gonum.org/v1/gonum/dsp/fourier"
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
		sum += power[bin] * (float64(bin) + peakOffset(power, bin)) * binHz / float64(partial)
		weight += power[bin]
	}
	if weight == 0 {
		return hz
	}
	return sum / weight
}

// peakOffset is how far a peak's top lies from its highest bin, −0.5 to 0.5: the logarithm of a Hann window's main lobe
// is nearly a parabola.
func peakOffset(power []float64, bin int) float64 {
	if bin < 1 || bin >= len(power)-1 || power[bin-1] <= 0 || power[bin+1] <= 0 {
		return 0
	}
	a, b, c := math.Log(power[bin-1]), math.Log(power[bin]), math.Log(power[bin+1])
	curve := a - 2*b + c
	if curve >= 0 {
		return 0
	}
	return min(max(0.5*(a-c)/curve, -0.5), 0.5)
}

// soundingSpectrum is the power spectrum of the sounding part, of all channels together.
func soundingSpectrum(channels [][]float32, rateHz int, t trim) (power []float64, binHz float64) {
	from := min(t.onset+int(settleSec*float64(rateHz)), t.end-1)
	frames := min(t.end-from, int(longestPitchSec*float64(rateHz)))
	size := 16
	for size < 2*frames { // twice: peaks between bins are found better
		size *= 2
	}
	fft := fourier.NewFFT(size)
	padded := make([]float64, size)
	power = make([]float64, size/2+1)
	var spectrum []complex128
	for _, channel := range channels {
		for i := range frames {
			padded[i] = float64(channel[from+i]) * sound.Hann(i, frames)
		}
		spectrum = fft.Coefficients(spectrum, padded)
		for k, z := range spectrum {
			power[k] += real(z * cmplx.Conj(z))
		}
	}
	return power, float64(rateHz) / float64(size)
}
