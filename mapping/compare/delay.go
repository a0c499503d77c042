// By how much one sound is later than another.

package compare

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	mostDelaySec = 3
	thinned      = 4   // so many samples make one: below 6 kHz from 48
	alike        = 0.3 // waveforms that correlate so much go with each other
)

// delayFrames tells by how many frames B is later. Where waveforms do not go with each
// other, the courses of the levels tell.
func delayFrames(a, b Sound, inTune bool) (frames int, rough bool) {
	x, y := thin(mono(a), thinned), thin(mono(b), thinned)
	lag, correlation := bestLag(x, y, mostDelaySec*a.RateHz/thinned)
	if inTune && math.Abs(correlation) > alike {
		return refine(mono(a), mono(b), lag*thinned, thinned), false
	}
	hop := a.RateHz / levelsPerSec
	lag, _ = bestLag(course(mono(a), hop), course(mono(b), hop), mostDelaySec*levelsPerSec)
	return lag * hop, true
}

// likeness is how alike two waveforms are in windows of a fifth of a second, in the median of those that sound in both
// in the beginning: what is a little out of tune, or late, is alike there.
func likeness(x, y []float64, rateHz int) float64 {
	const beginningSec, reachSec = 8, 0.012
	window, reach := rateHz/5, int(reachSec*float64(rateHz))
	end := min(len(x), len(y), beginningSec*rateHz)
	least := 1e-3 * energy(x[:end]) / float64(end) * float64(window)
	var all []float64
	for from := reach; from+window+reach < end; from += window {
		a := x[from : from+window]
		best := 0.0
		if energy(a) < least || energy(y[from:from+window]) < 1e-2*least {
			continue
		}
		for lag := -reach; lag <= reach; lag++ {
			b := y[from+lag : from+lag+window]
			product := 0.0
			for k, sample := range a {
				product += sample * b[k]
			}
			if c := product / math.Sqrt(energy(a)*energy(b)); math.Abs(c) > math.Abs(best) {
				best = c
			}
		}
		all = append(all, best)
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// thin keeps the mean of so many samples each.
func thin(x []float64, by int) []float64 {
	out := make([]float64, len(x)/by)
	for k := range out {
		for _, sample := range x[k*by : (k+1)*by] {
			out[k] += sample / float64(by)
		}
	}
	return out
}

// levelsPerSec is how finely the levels go.
const levelsPerSec = 200

// course is the level hop by hop, down to 40 dB below the highest, about its mean.
func course(x []float64, hop int) []float64 {
	out := make([]float64, len(x)/hop)
	most, mean := math.Inf(-1), 0.0
	for k := range out {
		out[k] = dB(energy(x[k*hop:(k+1)*hop]) / float64(hop))
		most = max(most, out[k])
	}
	for k := range out {
		out[k] = max(out[k], most-40)
		mean += out[k] / float64(len(out))
	}
	for k := range out {
		out[k] -= mean
	}
	return out
}

// bestLag finds by how much y is later than x, at most most, and how alike they then are, −1 to 1: the correlation
// that is farthest from 0.
func bestLag(x, y []float64, most int) (lag int, correlation float64) {
	size := 1
	for size < len(x)+len(y) {
		size *= 2
	}
	fft := fourier.NewFFT(size)
	padded := make([]float64, size)
	spectrum := func(samples []float64) []complex128 {
		clear(padded)
		copy(padded, samples)
		return fft.Coefficients(nil, padded)
	}
	fx, fy := spectrum(x), spectrum(y)
	for k := range fx {
		fx[k] = complex(real(fx[k]), -imag(fx[k])) * fy[k]
	}
	products := fft.Sequence(padded, fx)
	scale := float64(size) * math.Sqrt(energy(x)*energy(y)+leastPower)
	for k := -most; k <= most; k++ {
		if c := products[(k+size)%size] / scale; math.Abs(c) > math.Abs(correlation) {
			lag, correlation = k, c
		}
	}
	return lag, correlation
}

func energy(x []float64) (sum float64) {
	for _, sample := range x {
		sum += sample * sample
	}
	return sum
}

// refine finds the best lag within reach of one, by single frames.
func refine(x, y []float64, lag, reach int) int {
	best, most := lag, 0.0
	for l := lag - reach; l <= lag+reach; l++ {
		sum := 0.0
		for k := max(0, -l); k < len(x) && k+l < len(y); k++ {
			sum += x[k] * y[k+l]
		}
		if math.Abs(sum) > most {
			best, most = l, math.Abs(sum)
		}
	}
	return best
}
