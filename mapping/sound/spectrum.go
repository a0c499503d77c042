// Power spectra: one transform, window and buffer a size, used again and again.

package sound

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Spectrum finds power spectra of one length under a Hann window. It serves one goroutine at a time.
type Spectrum struct {
	SizeFrames int // samples of a frame
	fft        *fourier.FFT
	window     []float64 // scaled so that a steady sine's bins add up to the mean square of the sine
	frame      []float64
	bins       []complex128
	Power      []float64 // of the last frame: size/2+1 bins of mean square
}

var spectrumPools sync.Map // of size to *sync.Pool

// BorrowSpectrum gives an analyser that nobody else uses until it is given back.
func BorrowSpectrum(size int) *Spectrum {
	pool, _ := spectrumPools.LoadOrStore(size, &sync.Pool{New: func() any { return NewSpectrum(size) }})
	return pool.(*sync.Pool).Get().(*Spectrum)
}

// GiveBack lets others borrow it.
func (p *Spectrum) GiveBack() {
	if pool, found := spectrumPools.Load(p.SizeFrames); found {
		pool.(*sync.Pool).Put(p)
	}
}

// NewSpectrum makes an analyser for frames of size samples, any number from 1 up; powers of 2 are quickest.
func NewSpectrum(size int) *Spectrum {
	p := &Spectrum{
		SizeFrames: size, fft: fourier.NewFFT(size),
		window: make([]float64, size), frame: make([]float64, size),
		bins: make([]complex128, size/2+1), Power: make([]float64, size/2+1),
	}
	squares := 0.0
	for i := range p.window {
		p.window[i] = HannEven(i, size)
		squares += p.window[i] * p.window[i]
	}
	// By Parseval's theorem the bins of both signs then add up to the windowed mean square.
	scale := math.Sqrt(2 / (squares * float64(size)))
	for i := range p.window {
		p.window[i] *= scale
	}
	return p
}

// At gives the power of each bin of the frame around a sample; beyond the ends there is silence. The result is
// overwritten by the next call.
func (p *Spectrum) At(samples []float32, centre int) []float64 {
	first := centre - p.SizeFrames/2
	from, to := max(0, -first), min(p.SizeFrames, len(samples)-first)
	if from >= to {
		clear(p.Power)
		return p.Power
	}
	clear(p.frame[:from])
	clear(p.frame[to:])
	for i, x := range samples[first+from : first+to] {
		p.frame[from+i] = float64(x) * p.window[from+i]
	}
	p.fft.Coefficients(p.bins, p.frame)
	for i, c := range p.bins {
		p.Power[i] = PowerOf(c)
	}
	p.Power[0] /= 2
	return p.Power
}

// PaddedPower is the power spectrum of channels, alike long, under a Hann window of their length, with zeros behind
// them up to size frames: size/2+1 bins, each the sum over all channels, not brought to any scale.
func PaddedPower(channels [][]float64, size int) []float64 {
	fft := fourier.NewFFT(size)
	padded, power := make([]float64, size), make([]float64, size/2+1)
	var bins []complex128
	for _, channel := range channels {
		for i, x := range channel {
			padded[i] = x * Hann(i, len(channel))
		}
		bins = fft.Coefficients(bins, padded)
		for k, z := range bins {
			power[k] += PowerOf(z)
		}
	}
	return power
}

// PowerOf is the squared magnitude of a bin.
func PowerOf(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// PeakOffset is how far the top of a peak lies from its highest bin, −0.5 to 0.5 bins, told from the powers of that
// bin and of its neighbours: the logarithm of a Hann window's main lobe is nearly a parabola. 0 where there is no
// peak.
func PeakOffset(left, middle, right float64) float64 {
	if left <= 0 || middle <= 0 || right <= 0 {
		return 0
	}
	l, m, r := math.Log(left), math.Log(middle), math.Log(right)
	bend := l - 2*m + r
	if bend >= 0 {
		return 0
	}
	return max(-0.5, min(0.5, (l-r)/(2*bend)))
}

// NoiseQuartile is the lower quartile of a bin of noise in the mean of so many independent power spectra, over the
// bin's expectation: that of a gamma distribution, whose cube root is nearly normal (Wilson & Hilferty 1931).
func NoiseQuartile(spectra float64) float64 {
	const quartile = -0.6745 // of the normal distribution
	return math.Pow(1-1/(9*spectra)+quartile/math.Sqrt(9*spectra), 3)
}

// PowerOfTwo is the power of two nearest to a duration, in frames, by ratio.
func PowerOfTwo(sec float64, rateHz int) int {
	return 1 << max(4, int(math.Round(math.Log2(sec*float64(rateHz)))))
}
