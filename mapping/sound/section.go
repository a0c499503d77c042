// Filter sections of second order, and the high-pass that is made of them.

package sound

import (
	"math"
	"math/cmplx"
)

// Section is a filter section of second order (biquad), normalised so that a0 is 1. Its transfer function is
// (B0 + B1·z⁻¹ + B2·z⁻²) / (1 + A1·z⁻¹ + A2·z⁻²).
type Section struct{ B0, B1, B2, A1, A2 float64 }

// Filter runs the samples through the section in place, from rest (transposed direct form II).
func (s Section) Filter(samples []float32) {
	z1, z2 := 0.0, 0.0
	for i, sample := range samples {
		x := float64(sample)
		y := s.B0*x + z1
		z1 = s.B1*x - s.A1*y + z2
		z2 = s.B2*x - s.A2*y
		samples[i] = float32(y)
	}
}

// PowerGain is the power that comes out for a power of 1 that goes in, at a frequency in cycles a frame (0 to 0.5).
func (s Section) PowerGain(cycles float64) float64 {
	z := cmplx.Rect(1, -2*math.Pi*cycles)
	above := complex(s.B0, 0) + z*(complex(s.B1, 0)+z*complex(s.B2, 0))
	below := 1 + z*(complex(s.A1, 0)+z*complex(s.A2, 0))
	return PowerOf(above) / PowerOf(below)
}

// ButterworthHighPass designs the sections of a high-pass of any order that reaches −3 dB at cut cycles a frame, by
// the bilinear transform of the analogue prototype (Oppenheim & Schafer, Discrete-Time Signal Processing, 7.1).
func ButterworthHighPass(cut float64, order int) []Section {
	k := math.Tan(math.Pi * cut)
	var sections []Section
	if order%2 == 1 {
		a0 := 1 + k
		sections = append(sections, Section{1 / a0, -1 / a0, 0, (k - 1) / a0, 0})
	}
	for i := range order / 2 {
		// The poles lie on a circle at these angles from the negative real axis.
		angle := math.Pi * (2*float64(i) + 1 + float64(order%2)) / (2 * float64(order))
		damping := 2 * math.Cos(angle)
		a0 := 1 + damping*k + k*k
		sections = append(sections, Section{1 / a0, -2 / a0, 1 / a0, 2 * (k*k - 1) / a0, (1 - damping*k + k*k) / a0})
	}
	return sections
}
