// The K filter: how the ear, by the measure of ITU-R BS.1770-5, weighs frequencies.

package sound

import "math"

// kFilter is the standard's pair of sections, a shelf for the head and then a high-pass, with its state.
type kFilter struct {
	shelf, cut                     Section
	shelfZ1, shelfZ2, cutZ1, cutZ2 float64
}

// KWeight is the power that the K filter lets out for a power of 1 at a frequency; 0 from half the rate on.
func KWeight(hz float64, rateHz int) float64 {
	cycles := hz / float64(rateHz)
	if cycles >= 0.5 {
		return 0
	}
	f := newKFilter(float64(rateHz))
	return f.shelf.PowerGain(cycles) * f.cut.PowerGain(cycles)
}

// newKFilter designs the filter for any rate. BS.1770-5, annex 1, tables 1 and 2 give coefficients for 48 kHz and ask
// other rates for the same response. These are the analogue prototypes behind those coefficients (a shelf of +4 dB at
// 1682 Hz, a high-pass at 38 Hz; common practice, values from memory), by bilinear transform; at 48 kHz they give the
// standard's own coefficients to 7 digits, as the tests check.
func newKFilter(rateHz float64) kFilter {
	const (
		shelfHz, shelfQ, shelfDB = 1681.974450955533, 0.7071752369554196, 3.999843853973347
		cutHz, cutQ              = 38.13547087602444, 0.5003270373238773
	)
	k := math.Tan(math.Pi * min(shelfHz/rateHz, 0.49)) // below the shelf's rate the whole spectrum lies under it
	high := DBToAmplitude(shelfDB)
	middle := math.Pow(high, 0.4996667741545416)
	a0 := 1 + k/shelfQ + k*k
	shelf := Section{
		B0: (high + middle*k/shelfQ + k*k) / a0, B1: 2 * (k*k - high) / a0, B2: (high - middle*k/shelfQ + k*k) / a0,
		A1: 2 * (k*k - 1) / a0, A2: (1 - k/shelfQ + k*k) / a0,
	}
	k = math.Tan(math.Pi * min(cutHz/rateHz, 0.49))
	a0 = 1 + k/cutQ + k*k
	cut := Section{B0: 1, B1: -2, B2: 1, A1: 2 * (k*k - 1) / a0, A2: (1 - k/cutQ + k*k) / a0}
	return kFilter{shelf: shelf, cut: cut}
}

// sumOfSquares runs samples through the filter and gives the sum of their squares.
func (f *kFilter) sumOfSquares(samples []float32) float64 {
	s, c := f.shelf, f.cut
	s1, s2, c1, c2 := f.shelfZ1, f.shelfZ2, f.cutZ1, f.cutZ2
	sum := 0.0
	for _, sample := range samples {
		x := float64(sample)
		y := s.B0*x + s1
		s1 = s.B1*x - s.A1*y + s2
		s2 = s.B2*x - s.A2*y
		z := y + c1
		c1 = -2*y - c.A1*z + c2
		c2 = y - c.A2*z
		sum += z * z
	}
	f.keep(s1, s2, c1, c2)
	return sum
}

// sumsOfSquares is sumOfSquares of two channels alike long, whose filters are of one rate, at once: neither waits for
// the other.
func sumsOfSquares(f, g *kFilter, left, right []float32) (sumLeft, sumRight float64) {
	s, c := f.shelf, f.cut
	s1, s2, c1, c2 := f.shelfZ1, f.shelfZ2, f.cutZ1, f.cutZ2
	t1, t2, d1, d2 := g.shelfZ1, g.shelfZ2, g.cutZ1, g.cutZ2
	right = right[:len(left)]
	for i, sample := range left {
		x, u := float64(sample), float64(right[i])
		y, v := s.B0*x+s1, s.B0*u+t1
		s1, t1 = s.B1*x-s.A1*y+s2, s.B1*u-s.A1*v+t2
		s2, t2 = s.B2*x-s.A2*y, s.B2*u-s.A2*v
		z, w := y+c1, v+d1
		c1, d1 = -2*y-c.A1*z+c2, -2*v-c.A1*w+d2
		c2, d2 = y-c.A2*z, v-c.A2*w
		sumLeft, sumRight = sumLeft+z*z, sumRight+w*w
	}
	f.keep(s1, s2, c1, c2)
	g.keep(t1, t2, d1, d2)
	return sumLeft, sumRight
}

// keep notes the filter's state.
func (f *kFilter) keep(s1, s2, c1, c2 float64) {
	// After the sound the states decay for ever; numbers that small are slow and mean nothing.
	for _, z := range []*float64{&s1, &s2, &c1, &c2} {
		if math.Abs(*z) < 1e-30 {
			*z = 0
		}
	}
	f.shelfZ1, f.shelfZ2, f.cutZ1, f.cutZ2 = s1, s2, c1, c2
}
