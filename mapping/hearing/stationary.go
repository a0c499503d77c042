// A sound that stands still, to compare a living one with.

package hearing

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Stationary gives interleaved stereo frames the same spectrum as a whole, with phases by chance: what such a sound
// has of modulation is that of noise. Both channels get the same phases, so that what is alike in them stays so (the
// surrogate of Theiler and others, Physica D, 1992).
func Stationary(frames []float32, seed uint64) []float32 {
	n := smooth(len(frames) / 2)
	out := make([]float32, 2*n)
	if n == 0 {
		return out
	}
	fft := fourier.NewFFT(n)
	channel, bins := make([]float64, n), make([]complex128, n/2+1)
	for side := range 2 {
		for i := range channel {
			channel[i] = float64(frames[2*i+side])
		}
		bins = fft.Coefficients(bins, channel)
		chance := rand.New(rand.NewPCG(seed, 0))
		for k := range bins {
			sin, cos := math.Sincos(2 * math.Pi * chance.Float64())
			bins[k] *= complex(cos/float64(n), sin/float64(n))
		}
		fft.Sequence(channel, bins)
		for i, v := range channel {
			out[2*i+side] = float32(v)
		}
	}
	return out
}

// smooth is the greatest number up to n that has no prime factors but 2, 3 and 5: the transform is slow at other
// lengths.
func smooth(n int) (most int) {
	for two := 1; two <= n; two *= 2 {
		for three := two; three <= n; three *= 3 {
			for five := three; five <= n; five *= 5 {
				most = max(most, five)
			}
		}
	}
	return most
}
