// Second-order filters for shaping noise and for the recorders' bands.

package boatyard

import "math"

// biquad is one second-order section with a0 = 1.
type biquad struct{ b0, b1, b2, a1, a2 float64 }

// run filters x in place, from rest (transposed direct form II).
func (f biquad) run(x []float64) {
	var s1, s2 float64
	for i, v := range x {
		y := f.b0*v + s1
		s1 = f.b1*v - f.a1*y + s2
		s2 = f.b2*v - f.a2*y
		x[i] = y
	}
}

// runBoth filters two channels alike, in place: two recursions that do not wait for one another.
func (f biquad) runBoth(left, right []float64) {
	var l1, l2, r1, r2 float64
	right = right[:len(left)]
	for i, v := range left {
		w := right[i]
		y, z := f.b0*v+l1, f.b0*w+r1
		l1, r1 = f.b1*v-f.a1*y+l2, f.b1*w-f.a1*z+r2
		l2, r2 = f.b2*v-f.a2*y, f.b2*w-f.a2*z
		left[i], right[i] = y, z
	}
}

// The three shapes below are those of R. Bristow-Johnson's "Cookbook formulae for audio equalizer biquad
// filter coefficients". Frequencies are kept between 5 Hz and 0.45 of the rate.

func lowpass(rateHz, cutHz, q float64) biquad {
	cos, alpha := corner(rateHz, cutHz, q)
	return normal((1-cos)/2, 1-cos, (1-cos)/2, 1+alpha, -2*cos, 1-alpha)
}

func highpass(rateHz, cutHz, q float64) biquad {
	cos, alpha := corner(rateHz, cutHz, q)
	return normal((1+cos)/2, -(1 + cos), (1+cos)/2, 1+alpha, -2*cos, 1-alpha)
}

// bandpass has 0 dB at its centre.
func bandpass(rateHz, centreHz, q float64) biquad {
	cos, alpha := corner(rateHz, centreHz, q)
	return normal(alpha, 0, -alpha, 1+alpha, -2*cos, 1-alpha)
}

func corner(rateHz, hz, q float64) (cos, alpha float64) {
	w := 2 * math.Pi * min(max(hz, 5), topShare*rateHz) / rateHz
	return math.Cos(w), math.Sin(w) / (2 * q)
}

func normal(b0, b1, b2, a0, a1, a2 float64) biquad {
	return biquad{b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0}
}
