// The pitch and level of a tone in a recording.

package testsound

import (
	"math"
	"math/cmplx"
	"slices"
	"sync"

	"gonum.org/v1/gonum/dsp/window"
)

// KeyHz is the pitch of a key (ISO 16:1975: A4, key 69, is 440 Hz; equal temperament).
func KeyHz[K int | float64](key K) float64 { return 440 * math.Exp2((float64(key)-69)/12) }

// ToneHz measures the pitch of a tone near nearHz: windowed stretches are shifted down by nearHz, and the slope of
// their phases, by least squares, is what the tone is off.
func ToneHz(x []float64, rateHz int, nearHz float64) float64 {
	const count = 5
	length := len(x) / 2
	hop := (len(x) - length) / (count - 1)
	last, slope, norm := 0.0, 0.0, 0.0
	for i := range count {
		phase := cmplx.Phase(Partial(x[i*hop:i*hop+length], rateHz, nearHz, i*hop))
		if i > 0 {
			phase -= 2 * math.Pi * math.Round((phase-last)/2/math.Pi)
		}
		d := float64(i) - (count-1)/2.0
		last, slope, norm = phase, slope+d*phase, norm+d*d
	}
	return nearHz + slope/norm/float64(hop)/2/math.Pi*float64(rateHz)
}

// Partial is the complex amplitude of a partial, through a Blackman-Harris window; first is the frame that x begins
// at.
func Partial(x []float64, rateHz int, hz float64, first int) complex128 {
	turn := -2 * math.Pi * hz / float64(rateHz)
	phasor, step := cmplx.Rect(1, turn*float64(first)), cmplx.Rect(1, turn)
	sum, norm := complex(0, 0), 0.0
	for i, w := range blackmanHarris(len(x)) {
		sum += complex(x[i]*w, 0) * phasor
		norm += w / 2
		phasor *= step
	}
	return sum / complex(norm, 0)
}

var windows sync.Map // by length

func blackmanHarris(length int) []float64 {
	made, found := windows.Load(length)
	if !found {
		made, _ = windows.LoadOrStore(length, window.BlackmanHarris(slices.Repeat([]float64{1}, length)))
	}
	return made.([]float64)
}
