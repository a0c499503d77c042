// Sensory roughness: what tones that lie close together, but not together, sound like.

package hearing

import "math"

// The curve of Plomp & Levelt (Tonal consonance and critical bandwidth, J. Acoust. Soc. Am. 38, 1965) in the
// parametrisation of Sethares (Local consonance and the relationship between timbre and scale, J. Acoust. Soc. Am. 94,
// 1993); values from memory.
const (
	roughRise, roughFall = 3.5, 5.75
	roughestAt           = 0.24           // of the scaled distance
	roughPerHz, roughHz  = 0.0207, 18.96  // how the scale grows with the lower frequency
	roughTop             = 0.180774515495 // of the curve, at ln(5.75/3.5)/2.25
)

// Roughness is how rough two tones of so many hertz are together, each of a mean square of 1: 0 for one and the same,
// 1 at the worst distance, and next to nothing from a critical bandwidth on. For other amplitudes it grows with their
// product.
func Roughness(aHz, bHz float64) float64 {
	low, apart := min(aHz, bHz), math.Abs(aHz-bHz)
	x := roughestAt / (roughPerHz*low + roughHz) * apart
	return (math.Exp(-roughRise*x) - math.Exp(-roughFall*x)) / roughTop
}

// roughnessOn is how rough tones are against the first harmonics of a root, which fall with their number as those of a
// sawtooth do. Both are brought to a power of 1, the tones as the ear weighs them. What the harmonics have against
// each other, in low roots, is taken off, so a note on its own grid has about 0.
func roughnessOn(tones []Tone, rootHz float64) float64 {
	total := 0.0
	for _, t := range tones {
		total += t.weighted()
	}
	if total == 0 {
		return 0
	}
	rough := -harmonicRoughness(rootHz)
	for _, t := range tones {
		rough += math.Sqrt(t.weighted()/total) * againstHarmonics(t.Hz, rootHz)
	}
	return rough
}

func harmonicRoughness(rootHz float64) (rough float64) {
	for n := 1; n <= gridNumber; n++ {
		rough += harmonicAmplitude(n) * againstHarmonics(float64(n)*rootHz, rootHz)
	}
	return rough
}

// againstHarmonics is how rough one tone is against the harmonics of a root.
func againstHarmonics(hz, rootHz float64) (rough float64) {
	for n := 1; n <= gridNumber; n++ {
		rough += harmonicAmplitude(n) * Roughness(hz, float64(n)*rootHz)
	}
	return rough
}

// harmonicAmplitude is that of the nth harmonic, of a power of 1 together.
func harmonicAmplitude(n int) float64 { return 1 / float64(n) / harmonicsRMS }

// harmonicsRMS is the root of the sum of 1/n² up to gridNumber.
var harmonicsRMS = func() float64 {
	sum := 0.0
	for n := 1; n <= gridNumber; n++ {
		sum += 1 / float64(n*n)
	}
	return math.Sqrt(sum)
}()
