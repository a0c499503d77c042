// The Fourier transform of the gate, which spends most of its time here: the general library's takes several times
// as long.

package beds

import "math"

// point is a complex number.
type point struct{ re, im float32 }

// fft transforms frames of one length, a power of 2 from 4 up, in place. There and back multiplies by the length and needs
// no reordering: forward leaves the bins in an order of its own (bin k is at place[k]), and back takes them so.
// It only reads itself: safe from many goroutines. Radix 4, decimation in frequency (Oppenheim & Schafer,
// Discrete-Time Signal Processing, 9.4).
type fft struct {
	place  []int32
	stages [][]fftFactors // from the whole frame down to blocks of 8 or 16, for each point of a quarter block
}

// fftFactors are the roots of unity by which a point's three further quarters turn.
type fftFactors struct{ one, two, three point }

func newFFT(size int) *fft {
	f := &fft{place: make([]int32, size)}
	for length := size; length > 4; length /= 4 {
		stage := make([]fftFactors, length/4)
		for j := range stage {
			turn := -2 * math.Pi * float64(j) / float64(length)
			stage[j] = fftFactors{root(turn), root(2 * turn), root(3 * turn)}
		}
		f.stages = append(f.stages, stage)
	}
	for k := range f.place {
		// Each stage sends bin k of a block to its quarter k mod 4.
		at, rest, length := 0, k, size
		for ; length >= 4; length /= 4 {
			at += rest % 4 * (length / 4)
			rest /= 4
		}
		f.place[k] = int32(at + rest)
	}
	return f
}

func root(angle float64) point {
	sin, cos := math.Sincos(angle)
	return point{float32(cos), float32(sin)}
}

// forward takes points in time and leaves bins, each at its place.
func (f *fft) forward(x []point) {
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

// back takes bins, each at its place, and leaves points in time, multiplied by the length.
func (f *fft) back(x []point) {
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
func (f *fft) endsInPairs() bool {
	last := len(f.place)
	for range f.stages {
		last /= 4
	}
	return last == 2
}

func pairs(x []point) {
	for ; len(x) >= 2; x = x[2:] {
		a, b := x[0], x[1]
		x[0], x[1] = point{a.re + b.re, a.im + b.im}, point{a.re - b.re, a.im - b.im}
	}
}

// still is the stage of blocks of 4, in which nothing turns.
var still = [1]fftFactors{{point{1, 0}, point{1, 0}, point{1, 0}}}

// split combines the quarters of a block so that each holds every fourth bin. Written out, since the compiler
// inlines nothing of this size.
func split(block []point, stage []fftFactors) {
	q := len(stage)
	x0, x1, x2, x3 := block[:q], block[q:][:q], block[2*q:][:q], block[3*q:][:q]
	for j := range stage {
		w, a, b, c, d := &stage[j], x0[j], x1[j], x2[j], x3[j]
		sumRe, sumIm, difRe, difIm := a.re+c.re, a.im+c.im, a.re-c.re, a.im-c.im
		oddRe, oddIm, turnRe, turnIm := b.re+d.re, b.im+d.im, b.im-d.im, d.re-b.re
		x0[j] = point{sumRe + oddRe, sumIm + oddIm}
		re, im := difRe+turnRe, difIm+turnIm
		x1[j] = point{re*w.one.re - im*w.one.im, re*w.one.im + im*w.one.re}
		re, im = sumRe-oddRe, sumIm-oddIm
		x2[j] = point{re*w.two.re - im*w.two.im, re*w.two.im + im*w.two.re}
		re, im = difRe-turnRe, difIm-turnIm
		x3[j] = point{re*w.three.re - im*w.three.im, re*w.three.im + im*w.three.re}
	}
}

// join is split's inverse, times 4.
func join(block []point, stage []fftFactors) {
	q := len(stage)
	x0, x1, x2, x3 := block[:q], block[q:][:q], block[2*q:][:q], block[3*q:][:q]
	for j := range stage {
		w, a, b, c, d := &stage[j], x0[j], x1[j], x2[j], x3[j]
		bRe, bIm := b.re*w.one.re+b.im*w.one.im, b.im*w.one.re-b.re*w.one.im
		cRe, cIm := c.re*w.two.re+c.im*w.two.im, c.im*w.two.re-c.re*w.two.im
		dRe, dIm := d.re*w.three.re+d.im*w.three.im, d.im*w.three.re-d.re*w.three.im
		sumRe, sumIm, oddRe, oddIm := a.re+cRe, a.im+cIm, a.re-cRe, a.im-cIm
		difRe, difIm, turnRe, turnIm := bRe+dRe, bIm+dIm, dIm-bIm, bRe-dRe
		x0[j] = point{sumRe + difRe, sumIm + difIm}
		x1[j] = point{oddRe + turnRe, oddIm + turnIm}
		x2[j] = point{sumRe - difRe, sumIm - difIm}
		x3[j] = point{oddRe - turnRe, oddIm - turnIm}
	}
}
