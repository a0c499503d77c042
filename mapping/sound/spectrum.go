// Power spectra: one plan, window and buffer a size, used again and again.

package sound

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Spectrum finds power spectra of one length under a Hann window. It serves one goroutine at a time.
type Spectrum struct {
	Size   int
	fft    *fourier.FFT
	window []float64 // scaled so that a steady sine's bins add up to the mean square of the sine
	frame  []float64
	bins   []complex128
	Power  []float64 // size/2+1 bins of mean square
}

var spectrumPlans sync.Map // of size to *sync.Pool

// BorrowSpectrum gives a plan that nobody else uses until it is given back.
func BorrowSpectrum(size int) *Spectrum {
	pool, _ := spectrumPlans.LoadOrStore(size, &sync.Pool{New: func() any { return NewSpectrum(size) }})
	return pool.(*sync.Pool).Get().(*Spectrum)
}

func (p *Spectrum) GiveBack() {
	if pool, found := spectrumPlans.Load(p.Size); found {
		pool.(*sync.Pool).Put(p)
	}
}

func NewSpectrum(size int) *Spectrum {
	p := &Spectrum{
		Size: size, fft: fourier.NewFFT(size),
		window: make([]float64, size), frame: make([]float64, size),
		bins: make([]complex128, size/2+1), Power: make([]float64, size/2+1),
	}
	squares := 0.0
	for i := range p.window {
		p.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(size))
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
	first := centre - p.Size/2
	from, to := max(0, -first), min(p.Size, len(samples)-first)
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
		p.Power[i] = real(c)*real(c) + imag(c)*imag(c)
	}
	p.Power[0] /= 2
	return p.Power
}

// PowerOfTwo is the power of two nearest to a duration, in frames, by ratio.
func PowerOfTwo(sec float64, rateHz int) int {
	return 1 << max(4, int(math.Round(math.Log2(sec*float64(rateHz)))))
}
