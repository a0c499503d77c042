// Offset and rumble: what lies below a take's lowest partial is not its sound.

package clean

import (
	"math"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
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
		mean := float32(sound.Mean(channel))
		for i := range channel {
			channel[i] -= mean
		}
	}
	if cutHz <= 0 || cutHz >= 0.45*float64(rateHz) {
		return
	}
	for _, section := range sound.ButterworthHighPass(cutHz/float64(rateHz), order) {
		for _, channel := range channels {
			section.Filter(channel)
		}
	}
}
