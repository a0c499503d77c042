// The K filter: how the ear, by the measure of ITU-R BS.1770-5, weighs frequencies.

package sound

import "math"

// section is a second-order filter section, normalised so that a0 is 1, with its state (transposed direct form II).
type section struct{ b0, b1, b2, a1, a2, z1, z2 float64 }

// kFilter is the standard's pair of sections: a shelf for the head, then a high-pass.
type kFilter [2]section

// newKFilter designs the filter for any rate. BS.1770-5, annex 1, tables 1 and 2 give coefficients for 48 kHz and ask other rates
// for the same response. These are the analogue prototypes behind those coefficients (a shelf of +4 dB at 1682 Hz, a
// high-pass at 38 Hz; common practice, values from memory), by bilinear transform; at 48 kHz they
// give the standard's own coefficients to 7 digits, as the tests check.
func newKFilter(rateHz float64) kFilter {
	const (
		shelfHz, shelfQ, shelfDB = 1681.974450955533, 0.7071752369554196, 3.999843853973347
		cutHz, cutQ              = 38.13547087602444, 0.5003270373238773
	)
	k := math.Tan(math.Pi * min(shelfHz/rateHz, 0.49)) // below the shelf's rate the whole spectrum lies under it
	high := math.Pow(10, shelfDB/20)
	middle := math.Pow(high, 0.4996667741545416)
	a0 := 1 + k/shelfQ + k*k
	shelf := section{
		b0: (high + middle*k/shelfQ + k*k) / a0, b1: 2 * (k*k - high) / a0, b2: (high - middle*k/shelfQ + k*k) / a0,
		a1: 2 * (k*k - 1) / a0, a2: (1 - k/shelfQ + k*k) / a0,
	}
	k = math.Tan(math.Pi * min(cutHz/rateHz, 0.49))
	a0 = 1 + k/cutQ + k*k
	cut := section{b0: 1, b1: -2, b2: 1, a1: 2 * (k*k - 1) / a0, a2: (1 - k/cutQ + k*k) / a0}
	return kFilter{shelf, cut}
}

// sumOfSquares runs samples through the filter and gives the sum of their squares.
func (f *kFilter) sumOfSquares(samples []float32) float64 {
	s, c := f[0], f[1]
	sum := 0.0
	for _, sample := range samples {
		x := float64(sample)
		y := s.b0*x + s.z1
		s.z1 = s.b1*x - s.a1*y + s.z2
		s.z2 = s.b2*x - s.a2*y
		z := y + c.z1
		c.z1 = -2*y - c.a1*z + c.z2
		c.z2 = y - c.a2*z
		sum += z * z
	}
	// After the sound the states decay for ever; numbers that small are slow and mean nothing.
	for _, z := range []*float64{&s.z1, &s.z2, &c.z1, &c.z2} {
		if math.Abs(*z) < 1e-30 {
			*z = 0
		}
	}
	f[0], f[1] = s, c
	return sum
}
