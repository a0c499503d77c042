// Loudness as the ear weighs it: the K filter, and the level of a sound through it.
package boatyard

import "math"

// kWeighted returns x through the two filters of ITU-R BS.1770-5, annex 1, at any rate: the analogue prototypes
// behind its 48 kHz coefficients (a +4 dB shelf at 1682 Hz for the head, a high-pass at 38 Hz), by bilinear transform.
func kWeighted(x []float64, rateHz float64) []float64 {
	const (
		shelfHz, shelfQ, shelfDB = 1681.974450955533, 0.7071752369554196, 3.999843853973347
		cutHz, cutQ              = 38.13547087602444, 0.5003270373238773
	)
	k := math.Tan(math.Pi * shelfHz / rateHz)
	high := dB(shelfDB)
	middle := math.Pow(high, 0.4996667741545416)
	shelf := normal(high+middle*k/shelfQ+k*k, 2*(k*k-high), high-middle*k/shelfQ+k*k,
		1+k/shelfQ+k*k, 2*(k*k-1), 1-k/shelfQ+k*k)
	k = math.Tan(math.Pi * cutHz / rateHz)
	a0 := 1 + k/cutQ + k*k
	cut := biquad{1, -2, 1, 2 * (k*k - 1) / a0, (1 - k/cutQ + k*k) / a0}
	y := make([]float64, len(x))
	copy(y, x)
	shelf.run(y)
	cut.run(y)
	return y
}

// kReference is the K filter's gain at 1 kHz (0.691 dB), so that levels here agree with dBFS RMS there.
const kReference = 1.0828

// heard returns the K-weighted RMS over both channels of frames from…to, equal to the plain RMS for 1 kHz.
func (s *stereo) heard(from, to int, rateHz float64) float64 {
	if from >= to {
		return 0
	}
	left, right := kWeighted(s.left[from:to], rateHz), kWeighted(s.right[from:to], rateHz)
	return math.Sqrt(power(left)+power(right)) / math.Sqrt2 / kReference
}

// power is the mean square.
func power(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(max(len(x), 1))
}
