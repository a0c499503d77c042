// Offset and rumble: what lies below a take's lowest partial is not its sound.

package clean

import (
	"math"

	"lapstrake/mapping/project"
)

// lowCutHz is where the high-pass reaches −3 dB, in the take's own frequencies; 0: no high-pass.
func lowCutHz(fundamentalHz float64, set project.ConformSettings) float64 {
	switch {
	case !set.Rumble:
		return 0
	case math.IsNaN(fundamentalHz):
		return set.NoisyLowCutHz
	}
	return set.RumbleFraction * fundamentalHz
}

// removeRumble takes the mean off every channel and then all below cutHz with a Butterworth high-pass. It runs forward
// only: a zero-phase filter would ring before the attack, and what a causal one turns in phase just above its
// cut is inaudible there.
func removeRumble(channels [][]float32, rateHz int, cutHz float64, order int) {
	for _, channel := range channels {
		sum := 0.0
		for _, x := range channel {
			sum += float64(x)
		}
		mean := float32(sum / float64(len(channel)))
		for i := range channel {
			channel[i] -= mean
		}
	}
	if cutHz <= 0 || cutHz >= 0.45*float64(rateHz) {
		return
	}
	for _, section := range butterworthHighPass(cutHz/float64(rateHz), order) {
		for _, channel := range channels {
			section.filter(channel)
		}
	}
}

// biquad is a second-order filter section with a0 = 1.
type biquad struct{ b0, b1, b2, a1, a2 float64 }

// butterworthHighPass designs the sections of a high-pass of any order for a cut in cycles a frame, by the bilinear
// transform of the analogue prototype (Oppenheim & Schafer, Discrete-Time Signal Processing, 7.1).
func butterworthHighPass(cut float64, order int) []biquad {
	k := math.Tan(math.Pi * cut)
	var sections []biquad
	if order%2 == 1 {
		a0 := 1 + k
		sections = append(sections, biquad{1 / a0, -1 / a0, 0, (k - 1) / a0, 0})
	}
	for i := range order / 2 {
		// The poles lie on a circle at these angles from the negative real axis.
		angle := math.Pi * (2*float64(i) + 1 + float64(order%2)) / (2 * float64(order))
		damping := 2 * math.Cos(angle)
		a0 := 1 + damping*k + k*k
		sections = append(sections, biquad{1 / a0, -2 / a0, 1 / a0, 2 * (k*k - 1) / a0, (1 - damping*k + k*k) / a0})
	}
	return sections
}

// filter runs the samples through the section, from rest (transposed direct form II).
func (s biquad) filter(samples []float32) {
	z1, z2 := 0.0, 0.0
	for i, sample := range samples {
		x := float64(sample)
		y := s.b0*x + z1
		z1 = s.b1*x - s.a1*y + z2
		z2 = s.b2*x - s.a2*y
		samples[i] = float32(y)
	}
}
