// Sounds with known properties for the tests of Conform, and ways to measure them that Conform itself does not use.

package beds

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"lapstrake/mapping/takes"
)

// addTones adds steady partials of a fundamental, the first at amplitude, each further one softer by 1/n.
func addTones(samples []float32, rateHz int, hz, amplitude float64, partials int) {
	for n := 1; n <= partials && float64(n)*hz < 0.45*float64(rateHz); n++ {
		phasor, turn := cmplx.Rect(amplitude/float64(n), float64(n)), cmplx.Rect(1, 2*math.Pi*float64(n)*hz/float64(rateHz))
		for i := range samples {
			samples[i] += float32(imag(phasor))
			phasor *= turn
		}
	}
}

// addHiss adds white noise of an RMS.
func addHiss(samples []float32, rms float64, seed uint64) {
	chance := rand.New(rand.NewPCG(seed, 1))
	for i := range samples {
		samples[i] += float32(rms * chance.NormFloat64())
	}
}

// clean are the measures of a take that sounds from onset to end without noise.
func clean(kind takes.Kind, hz, onsetSec, endSec float64) takes.Measures {
	return takes.Measures{
		Kind: kind, OnsetSec: onsetSec, EndSec: endSec, SNRDB: 96, NoiseFloorDBFS: -110, HumDBFS: math.NaN(),
		Pitch: takes.Pitch{Hz: hz, Confidence: 1},
	}
}

// bare leaves a take as it is: what a test is about it switches on.
func bare() ConformSettings {
	return ConformSettings{RumbleFraction: 0.5, RumbleOrder: 4, NoisyLowCutHz: 30, CleanSNRDB: 60, LoudnessLUFS: -23, PeakDBFS: -1}
}

// component is the amplitude and phase of a sine in the samples, by correlation under a Hann window.
func component(samples []float32, rateHz int, hz float64) complex128 {
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

// measuredHz is the frequency of the sine nearest to the given frequency, by the advance of its phase from the first
// to the second half of the samples.
func measuredHz(samples []float32, rateHz int, nearHz float64) float64 {
	half := len(samples) / 2
	for range 6 {
		// The second half's phases are counted from its own first frame.
		advance := component(samples[half:2*half], rateHz, nearHz) / component(samples[:half], rateHz, nearHz)
		advance *= cmplx.Rect(1, -2*math.Pi*math.Mod(nearHz/float64(rateHz)*float64(half), 1))
		nearHz += cmplx.Phase(advance) / (2 * math.Pi * float64(half)) * float64(rateHz)
	}
	return nearHz
}

// without returns the samples less the sines of these frequencies, fitted one after another until they stay the same.
func without(samples []float32, rateHz int, hz ...float64) []float32 {
	rest := append([]float32(nil), samples...)
	for range 4 {
		for _, f := range hz {
			z := component(rest, rateHz, f)
			turn := cmplx.Rect(1, 2*math.Pi*f/float64(rateHz))
			for i := range rest {
				rest[i] -= float32(real(z))
				z *= turn
			}
		}
	}
	return rest
}

// levelOf is the RMS.
func levelOf(samples []float32) float64 {
	sum := 0.0
	for _, x := range samples {
		sum += float64(x) * float64(x)
	}
	return math.Sqrt(sum / float64(len(samples)))
}

func amplitudeDB(ratio float64) float64 { return 20 * math.Log10(ratio) }

func abs(z complex128) float64 { return cmplx.Abs(z) }

func cents(hz, reference float64) float64 { return 1200 * math.Log2(hz/reference) }

// middle is the middle half of the samples, away from both ends.
func middle(samples []float32) []float32 { return samples[len(samples)/4 : 3*len(samples)/4] }

func monoSound(rateHz int, samples []float32) *takes.Sound {
	return &takes.Sound{RateHz: rateHz, Channels: [][]float32{samples}}
}
