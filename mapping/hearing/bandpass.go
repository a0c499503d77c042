// A band-pass filter without delay, for slow curves.

package hearing

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// bandPass is a Butterworth band-pass of second order that runs forwards and backwards over values, from low to high
// in periods a value (up to a half). The curve is turned about its ends, so that the filter is settled when it begins.
func bandPass(values []float64, low, high float64) []float64 {
	n := len(values)
	if n < 2 {
		return make([]float64, n)
	}
	turned := make([]float64, 3*n) // the curve in the middle, about each end itself upside down
	for i, v := range values {
		turned[n+i] = v
		turned[n-1-i] = 2*values[0] - v
		turned[3*n-1-i] = 2*values[n-1] - v
	}
	fft := fourier.NewFFT(len(turned))
	bins := fft.Coefficients(nil, turned)
	warp := func(f float64) float64 { return math.Tan(math.Pi * min(f, 0.4999)) }
	middle, width := warp(low)*warp(high), warp(high)-warp(low)
	for k := range bins {
		w := warp(float64(k) / float64(len(turned)))
		gain := 0.0
		if w > 0 {
			x := (w*w - middle) / (w * width)
			gain = 1 / (1 + x*x*x*x)
		}
		bins[k] *= complex(gain/float64(len(turned)), 0)
	}
	return fft.Sequence(nil, bins)[n : 2*n]
}
