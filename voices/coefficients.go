// Coefficients of the resampling filters, by weighted least squares.

package voices

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// band is one stretch of the source's spectrum as the design sees it. Frequencies are cycles per source
// frame: 0.5 is the source's Nyquist frequency. Bands may overlap, then their weights add.
type band struct {
	low, high float64
	weight    float64 // what a squared error of the response in this band costs
	pass      bool    // true: a pure delay of gain 1 is wanted; false: silence
}

// ridge keeps the normal equations solvable: between its bands the design is free, so some directions cost
// almost nothing. It is the weight, relative to all bands together, of the coefficients' own energy.
const ridge = 1e-13

// leastSquares returns a taps × (phases+1) matrix. Column p holds the coefficients that delay the source by
// taps/2 − 1 + p/phases frames with the least weighted squared error over the bands. Whatever is wrong with
// the response at frequency f is heard as images of a partial at f, so this minimises images directly; a
// windowed sinc of 16 taps is 10 to 35 dB worse at the same cost.
//
// With response H(f) = Σ h[k]·e^(−j2πfk) and aim D(f) = e^(−j2πfd), setting the derivative of ∫ w(f)·|H − D|²
// df to zero gives R·h = b with R[i,j] = ∫ w·cos 2πf(i−j) and b[k] = ∫ w·cos 2πf(k−d), the latter over pass
// bands alone. (General least-squares FIR design: Parks and Burrus, Digital Filter Design, 1987, chapter 3;
// for fractional delays: Laakso and others, Splitting the Unit Delay, IEEE SP Magazine 1996.)
func leastSquares(taps, phases int, bands []band) *mat.Dense {
	energy := spectrumIntegral(bands, 0, false)
	normal := mat.NewSymDense(taps, nil)
	for i := range taps {
		normal.SetSym(i, i, energy*(1+ridge))
		for j := i + 1; j < taps; j++ {
			normal.SetSym(i, j, spectrumIntegral(bands, float64(j-i), false))
		}
	}
	aim := mat.NewDense(taps, phases+1, nil)
	for p := range phases + 1 {
		delay := float64(taps/2-1) + float64(p)/float64(phases)
		for k := range taps {
			aim.Set(k, p, spectrumIntegral(bands, float64(k)-delay, true))
		}
	}
	var factor mat.Cholesky
	solution := new(mat.Dense)
	if !factor.Factorize(normal) {
		panic(fmt.Sprintf("voices: the %d-tap design is singular: its ridge is too small", taps))
	}
	if err := factor.SolveTo(solution, aim); err != nil {
		panic(fmt.Sprintf("voices: the %d-tap design: %v", taps, err))
	}
	return solution
}

// spectrumIntegral returns Σ weight·∫ cos 2πft df over all bands, or over those that pass.
func spectrumIntegral(bands []band, t float64, passOnly bool) float64 {
	upTo := func(f float64) float64 {
		if t == 0 {
			return f
		}
		return math.Sin(2*math.Pi*f*t) / (2 * math.Pi * t)
	}
	sum := 0.0
	for _, b := range bands {
		if b.pass || !passOnly {
			sum += b.weight * (upTo(b.high) - upTo(b.low))
		}
	}
	return sum
}
