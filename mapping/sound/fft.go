// The Fourier transform of the gate, which spends most of its time here: the general library's takes several times
// as long.

package sound

import "math"

// Complex is a complex number.
type Complex struct{ Re, Im float32 }

// FFT transforms frames of one length, a power of 2 from 4 up, in place. There and back multiplies by the length and needs
// no reordering: forward leaves the bins in an order of its own (bin k is at place[k]), and back takes them so.
// It only reads itself: safe from many goroutines. Radix 4, decimation in frequency (Oppenheim & Schafer,
// Discrete-Time Signal Processing, 9.4).
type FFT struct {
	Place  []int32
	stages [][]fftFactors // from the whole frame down to blocks of 8 or 16, for each point of a quarter block
}

// fftFactors are the roots of unity by which a point's three further quarters turn.
type fftFactors struct{ one, two, three Complex }

func NewFFT(size int) *FFT {
	f := &FFT{Place: make([]int32, size)}
	for length := size; length > 4; length /= 4 {
		stage := make([]fftFactors, length/4)
		for j := range stage {
			turn := -2 * math.Pi * float64(j) / float64(length)
			stage[j] = fftFactors{root(turn), root(2 * turn), root(3 * turn)}
		}
		f.stages = append(f.stages, stage)
	}
	for k := range f.Place {
		// Each stage sends bin k of a block to its quarter k mod 4.
		at, rest, length := 0, k, size
		for ; length >= 4; length /= 4 {
			at += rest % 4 * (length / 4)
			rest /= 4
		}
		f.Place[k] = int32(at + rest)
	}
	return f
}

func root(angle float64) Complex {
	sin, cos := math.Sincos(angle)
	return Complex{float32(cos), float32(sin)}
}

// Forward takes points in time and leaves bins, each at its place.
func (f *FFT) Forward(x []Complex) {
	for _, stage := range f.stages {
		for block := x; len(block) > 0; block = block[4*len(stage):] {
			split(block, stage)
		}
	}
	if f.endsInPairs() {
		pairs(x)
		return
	}
	for block := x; len(block) > 0; block = block[4:] {
		split(block, still[:])
	}
}

// Back takes bins, each at its place, and leaves points in time, multiplied by the length.
func (f *FFT) Back(x []Complex) {
	if f.endsInPairs() {
		pairs(x)
	} else {
		for block := x; len(block) > 0; block = block[4:] {
			join(block, still[:])
		}
	}
	for s := len(f.stages) - 1; s >= 0; s-- {
		stage := f.stages[s]
		for block := x; len(block) > 0; block = block[4*len(stage):] {
			join(block, stage)
		}
	}
}

// endsInPairs tells whether the blocks that the stages leave hold 2 points, not 4.
func (f *FFT) endsInPairs() bool {
	last := len(f.Place)
	for range f.stages {
		last /= 4
	}
	return last == 2
}

func pairs(x []Complex) {
	for ; len(x) >= 2; x = x[2:] {
		a, b := x[0], x[1]
		x[0], x[1] = Complex{a.Re + b.Re, a.Im + b.Im}, Complex{a.Re - b.Re, a.Im - b.Im}
	}
}

// still is the stage of blocks of 4, in which nothing turns.
var still = [1]fftFactors{{Complex{1, 0}, Complex{1, 0}, Complex{1, 0}}}

// split combines the quarters of a block so that each holds every fourth bin. Written out, since the compiler
// inlines nothing of this size.
func split(block []Complex, stage []fftFactors) {
	q := len(stage)
	x0, x1, x2, x3 := block[:q], block[q:][:q], block[2*q:][:q], block[3*q:][:q]
	for j := range stage {
		w, a, b, c, d := &stage[j], x0[j], x1[j], x2[j], x3[j]
		sumRe, sumIm, difRe, difIm := a.Re+c.Re, a.Im+c.Im, a.Re-c.Re, a.Im-c.Im
		oddRe, oddIm, turnRe, turnIm := b.Re+d.Re, b.Im+d.Im, b.Im-d.Im, d.Re-b.Re
		x0[j] = Complex{sumRe + oddRe, sumIm + oddIm}
		re, im := difRe+turnRe, difIm+turnIm
		x1[j] = Complex{re*w.one.Re - im*w.one.Im, re*w.one.Im + im*w.one.Re}
		re, im = sumRe-oddRe, sumIm-oddIm
		x2[j] = Complex{re*w.two.Re - im*w.two.Im, re*w.two.Im + im*w.two.Re}
		re, im = difRe-turnRe, difIm-turnIm
		x3[j] = Complex{re*w.three.Re - im*w.three.Im, re*w.three.Im + im*w.three.Re}
	}
}

// join is split's inverse, times 4.
func join(block []Complex, stage []fftFactors) {
	q := len(stage)
	x0, x1, x2, x3 := block[:q], block[q:][:q], block[2*q:][:q], block[3*q:][:q]
	for j := range stage {
		w, a, b, c, d := &stage[j], x0[j], x1[j], x2[j], x3[j]
		bRe, bIm := b.Re*w.one.Re+b.Im*w.one.Im, b.Im*w.one.Re-b.Re*w.one.Im
		cRe, cIm := c.Re*w.two.Re+c.Im*w.two.Im, c.Im*w.two.Re-c.Re*w.two.Im
		dRe, dIm := d.Re*w.three.Re+d.Im*w.three.Im, d.Im*w.three.Re-d.Re*w.three.Im
		sumRe, sumIm, oddRe, oddIm := a.Re+cRe, a.Im+cIm, a.Re-cRe, a.Im-cIm
		difRe, difIm, turnRe, turnIm := bRe+dRe, bIm+dIm, dIm-bIm, bRe-dRe
		x0[j] = Complex{sumRe + difRe, sumIm + difIm}
		x1[j] = Complex{oddRe + turnRe, oddIm + turnIm}
		x2[j] = Complex{sumRe - difRe, sumIm - difIm}
		x3[j] = Complex{oddRe - turnRe, oddIm - turnIm}
	}
}
