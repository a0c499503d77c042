// Loudness as the ear weighs it: the K filter, and the level of a sound through it.
package boatyard

import "math"

// kFilter returns the two sections of ITU-R BS.1770-5, annex 1, for any rate: the analogue prototypes behind its
// 48 kHz coefficients (a +4 dB shelf at 1682 Hz for the head, a high-pass at 38 Hz), by bilinear transform.
func kFilter(rateHz float64) (shelf, cut biquad) {
	const (
		shelfHz, shelfQ, shelfDB = 1681.974450955533, 0.7071752369554196, 3.999843853973347
		cutHz, cutQ              = 38.13547087602444, 0.5003270373238773
	)
	k := math.Tan(math.Pi * shelfHz / rateHz)
	high := dB(shelfDB)
	middle := math.Pow(high, 0.4996667741545416)
	shelf = normal(high+middle*k/shelfQ+k*k, 2*(k*k-high), high-middle*k/shelfQ+k*k,
		1+k/shelfQ+k*k, 2*(k*k-1), 1-k/shelfQ+k*k)
	k = math.Tan(math.Pi * cutHz / rateHz)
	a0 := 1 + k/cutQ + k*k
	return shelf, biquad{1, -2, 1, 2 * (k*k - 1) / a0, (1 - k/cutQ + k*k) / a0}
}

// kReference is the K filter's gain at 1 kHz (0.691 dB), so that levels here agree with dBFS RMS there.
const kReference = 1.0828

// heardPowers returns the K-weighted mean square over both channels of each step frames (the last may be shorter),
// equal to the plain one for 1 kHz. Both channels go through the filters together: two recursions that do not wait
// for one another.
func (s *stereo) heardPowers(step int, rateHz float64) []float64 {
	f, g := kFilter(rateHz)
	var l1, l2, l3, l4, r1, r2, r3, r4 float64
	powers := make([]float64, 0, len(s.left)/step+1)
	for at := 0; at < len(s.left); at += step {
		left := s.left[at:min(at+step, len(s.left))]
		right := s.right[at:][:len(left)]
		sum := 0.0
		for i, v := range left {
			w := right[i]
			yl, yr := f.b0*v+l1, f.b0*w+r1
			l1, r1 = f.b1*v-f.a1*yl+l2, f.b1*w-f.a1*yr+r2
			l2, r2 = f.b2*v-f.a2*yl, f.b2*w-f.a2*yr
			v, w = g.b0*yl+l3, g.b0*yr+r3
			l3, r3 = g.b1*yl-g.a1*v+l4, g.b1*yr-g.a1*w+r4
			l4, r4 = g.b2*yl-g.a2*v, g.b2*yr-g.a2*w
			sum += v*v + w*w
		}
		powers = append(powers, sum/float64(2*len(left))/(kReference*kReference))
	}
	return powers
}

// heard returns the K-weighted RMS over both channels.
func (s *stereo) heard(rateHz float64) float64 {
	if len(s.left) == 0 {
		return 0
	}
	return math.Sqrt(s.heardPowers(len(s.left), rateHz)[0])
}
