// How bright a sound is, as one figure.

package sound

import "math"

// CentreERB is how bright a sound is, as an ERB number (Glasberg & Moore 1990): the centre of its bands by a measure
// that grows as specific loudness does, with power^0.3 (Stevens 1957; the exponent is from memory). powers are mean
// squares in bands of 1/bandsPerERB ERB each, from ERB number 0 on; their scale is any. Silence gives 0.
func CentreERB(powers []float64, bandsPerERB float64) float64 {
	sum, moment := 0.0, 0.0
	for i, power := range powers {
		loudness := math.Pow(power, 0.3)
		sum += loudness
		moment += loudness * (float64(i) + 0.5) / bandsPerERB
	}
	if sum == 0 {
		return 0
	}
	return moment / sum
}
