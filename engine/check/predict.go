// What a sound's own past and future say of each sample: linear prediction from both sides at once.

package check

import "lapstrake/mapping/sound"

const (
	predictOrder = 32    // samples on either side that tell a sample
	modelSec     = 0.043 // of sound that a model is found from
	modelLeast   = 1024  // frames of it
	modelFloorDB = -80   // dBFS of white noise that every model reckons with: below it nothing is foretold
)

// predictor foretells samples from those on both sides of them by an autoregressive model of the sound around them:
// the least-squares interpolator of Godsill & Rayner, Digital Audio Restoration (1998), chapter 5. It is at once the
// prediction error matched with the prediction filter, by which they find clicks.
type predictor struct {
	window  []float64
	piece   []float64 // of the sound, under the window
	floor   float64
	weights [predictOrder + 1]float64 // of the error at each distance: autocorrelation of the model's filter, 1 at 0
	quick   [predictOrder + 1]float32 // the same
}

func newPredictor(rateHz int) *predictor {
	frames := max(int(modelSec*float64(rateHz)), modelLeast)
	p := &predictor{window: make([]float64, frames), piece: make([]float64, frames)}
	squares := 0.0
	for i := range p.window {
		p.window[i] = sound.HannEven(i, frames)
		squares += p.window[i] * p.window[i]
	}
	p.floor = squares * sound.DBToPower(modelFloorDB)
	return p
}

// learn finds the model of the sound around a sample; beyond the ends of samples there is silence.
func (p *predictor) learn(samples []float32, centre int) {
	first := centre - len(p.window)/2
	clear(p.piece)
	for i := max(0, -first); i < min(len(p.window), len(samples)-first); i++ {
		p.piece[i] = p.window[i] * float64(samples[first+i])
	}
	var products [predictOrder + 1]float64
	for lag := range products {
		products[lag] = product(p.piece[lag:], p.piece[:len(p.piece)-lag])
	}
	products[0] += p.floor
	filter := errorFilter(products)
	for lag := predictOrder; lag >= 0; lag-- {
		p.weights[lag] = product(filter[lag:], filter[:len(filter)-lag])
	}
	for lag := predictOrder; lag >= 0; lag-- {
		p.weights[lag] /= p.weights[0]
		p.quick[lag] = float32(p.weights[lag])
	}
}

// product is the sum of the products of two slices alike long.
func product(a, b []float64) float64 {
	var s0, s1, s2, s3 float64
	for len(a) >= 4 && len(b) >= 4 {
		s0 += a[0] * b[0]
		s1 += a[1] * b[1]
		s2 += a[2] * b[2]
		s3 += a[3] * b[3]
		a, b = a[4:], b[4:]
	}
	for i, x := range a {
		s0 += x * b[i]
	}
	return s0 + s1 + s2 + s3
}

// errorFilter gives the coefficients, the first of them 1, of the filter that leaves of a sound with these
// autocorrelations only what its past does not tell: the recursion of Levinson and Durbin.
func errorFilter(r [predictOrder + 1]float64) []float64 {
	a, before := make([]float64, len(r)), make([]float64, len(r))
	a[0] = 1
	left := r[0]
	for n := 1; n < len(r) && left > 0; n++ {
		sum := r[n]
		for i := 1; i < n; i++ {
			sum += a[i] * r[n-i]
		}
		reflected := -sum / left
		copy(before, a)
		for i := 1; i < n; i++ {
			a[i] = before[i] + reflected*before[n-i]
		}
		a[n] = reflected
		left *= 1 - reflected*reflected
	}
	return a
}

// errors fills in how far samples lie from what those around them tell: out[i] of samples[from+i]. There must be
// predictOrder samples on either side.
func (p *predictor) errors(out, samples []float32, from int) {
	for i := range out {
		x := samples[from+i-predictOrder:][: 2*predictOrder+1 : 2*predictOrder+1]
		even, odd := x[predictOrder], float32(0)
		for k := 1; k < predictOrder; k += 2 {
			odd += p.quick[k] * (x[predictOrder-k] + x[predictOrder+k])
			even += p.quick[k+1] * (x[predictOrder-k-1] + x[predictOrder+k+1])
		}
		out[i] = even + odd
	}
}

// added is what was added to neighbouring samples, told from their errors: without it they lie where they should. It
// is the solution of a symmetric system of as many equations, by elimination.
func (p *predictor) added(errors []float32) []float64 {
	n := len(errors)
	rows, x := make([][]float64, n), make([]float64, n)
	for i := range rows {
		rows[i] = make([]float64, n)
		for j := range rows[i] {
			rows[i][j] = p.weight(i - j)
		}
		x[i] = float64(errors[i])
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			times := rows[j][i] / rows[i][i]
			for k := i; k < n; k++ {
				rows[j][k] -= times * rows[i][k]
			}
			x[j] -= times * x[i]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for j := i + 1; j < n; j++ {
			x[i] -= rows[i][j] * x[j]
		}
		x[i] /= rows[i][i]
	}
	return x
}

// weight is the error that 1 more in a sample makes in another one, so far from it.
func (p *predictor) weight(distance int) float64 {
	if distance < 0 {
		distance = -distance
	}
	if distance > predictOrder {
		return 0
	}
	return p.weights[distance]
}
