// Sines: added, measured and taken away again.

package testsound

import (
	"math"
	"math/cmplx"
)

// AddTones adds steady partials of a fundamental, the first at amplitude, each further one softer by 1/n.
func AddTones(samples []float32, rateHz int, hz, amplitude float64, partials int) {
	for n := 1; n <= partials && float64(n)*hz < 0.45*float64(rateHz); n++ {
		phasor, turn := cmplx.Rect(amplitude/float64(n), float64(n)),
			cmplx.Rect(1, 2*math.Pi*float64(n)*hz/float64(rateHz))
		for i := range samples {
			samples[i] += float32(imag(phasor))
			phasor *= turn
		}
	}
}

// Component is the amplitude and phase of a sine in the samples, by correlation under a Hann window.
func Component(samples []float32, rateHz int, hz float64) complex128 {
	sum, weight := complex(0, 0), 0.0
	phasor, turn := complex(1, 0), cmplx.Rect(1, -2*math.Pi*hz/float64(rateHz))
	around, step := cmplx.Rect(1, math.Pi/float64(len(samples))), cmplx.Rect(1, 2*math.Pi/float64(len(samples)))
	for _, x := range samples {
		w := 0.5 - 0.5*real(around)
		sum += phasor * complex(w*float64(x), 0)
		weight += w
		phasor *= turn
		around *= step
	}
	return sum * complex(2/weight, 0)
}

// MeasuredHz is the frequency of the sine nearest to the given frequency, by the advance of its phase from the first
// to the second half of the samples.
func MeasuredHz(samples []float32, rateHz int, nearHz float64) float64 {
	half := len(samples) / 2
	for range 6 {
		// The second half's phases are counted from its own first frame.
		advance := Component(samples[half:2*half], rateHz, nearHz) / Component(samples[:half], rateHz, nearHz)
		advance *= cmplx.Rect(1, -2*math.Pi*math.Mod(nearHz/float64(rateHz)*float64(half), 1))
		nearHz += cmplx.Phase(advance) / (2 * math.Pi * float64(half)) * float64(rateHz)
	}
	return nearHz
}

// Without returns the samples less the sines of these frequencies, fitted one after another until they stay the same.
func Without(samples []float32, rateHz int, hz ...float64) []float32 {
	rest := append([]float32(nil), samples...)
	for range 4 {
		for _, f := range hz {
			z := Component(rest, rateHz, f)
			turn := cmplx.Rect(1, 2*math.Pi*f/float64(rateHz))
			for i := range rest {
				rest[i] -= float32(real(z))
				z *= turn
			}
		}
	}
	return rest
}

// RMS is the RMS of at least one sample.
func RMS[S float32 | float64](samples []S) float64 {
	sum := 0.0
	for _, x := range samples {
		sum += float64(x) * float64(x)
	}
	return math.Sqrt(sum / float64(len(samples)))
}

// AmplitudeDB is the level of an amplitude in dB, full scale being 1.
func AmplitudeDB(ratio float64) float64 { return 20 * math.Log10(ratio) }

// Cents is how far a frequency lies above another.
func Cents(hz, reference float64) float64 { return 1200 * math.Log2(hz/reference) }

// Middle is the middle half of the samples, away from both ends.
func Middle(samples []float32) []float32 { return samples[len(samples)/4 : 3*len(samples)/4] }
