// NaN and infinity among samples: they spoil every filter and can harm a loudspeaker.

package wav

import "math"

// zeroNotFinite replaces NaN and infinity by 0 and returns the first one's index, or -1.
func zeroNotFinite(samples []float32) int {
	first := firstNotFinite(samples)
	if first < 0 {
		return first
	}
	for i := first; i < len(samples); i++ {
		if isNotFinite(samples[i]) {
			samples[i] = 0
		}
	}
	return first
}

// firstNotFinite returns the index of the first NaN or infinity, or -1.
func firstNotFinite(samples []float32) int {
	if allFinite(samples) {
		return -1
	}
	for i, sample := range samples {
		if isNotFinite(sample) {
			return i
		}
	}
	return -1
}

// allFinite multiplies by zero, which leaves zero of any number but NaN of NaN and infinity
// (IEEE 754), and NaN survives every sum. Four sums that do not wait for each other take a
// quarter of the time of looking at each sample's bits.
func allFinite(samples []float32) bool {
	var a, b, c, d float32
	for ; len(samples) >= 4; samples = samples[4:] {
		a += samples[0] * 0
		b += samples[1] * 0
		c += samples[2] * 0
		d += samples[3] * 0
	}
	for _, sample := range samples {
		a += sample * 0
	}
	return a+b+c+d == 0
}

// isNotFinite looks at the exponent, whose bits are all ones in NaN and infinity alone (IEEE 754).
func isNotFinite(sample float32) bool {
	const exponent = 0x7F800000
	return math.Float32bits(sample)&exponent == exponent
}
