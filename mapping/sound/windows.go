// Windows and the functions that they are made of.

package sound

import "math"

// Sinc is sin(πx)/πx.
func Sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// BesselI0 is the modified Bessel function of the first kind and order 0, by its power series (Abramowitz & Stegun
// 9.6.12).
func BesselI0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// Hann is the periodic Hann window of so many frames: 0 at frame 0, 1 in the middle.
func Hann(frame, frames int) float64 {
	return 0.5 - 0.5*math.Cos(2*math.Pi*float64(frame)/float64(frames))
}

// HannEven is the Hann window of so many frames that reads the same from both ends: nowhere quite 0.
func HannEven(frame, frames int) float64 {
	return 0.5 - 0.5*math.Cos(2*math.Pi*(float64(frame)+0.5)/float64(frames))
}
