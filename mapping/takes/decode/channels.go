// Interleaved samples to one slice a channel.

package decode

import "math"

// newChannels makes room for frames that are known to be there.
func newChannels(channels int, frames int64) [][]float32 {
	out := make([][]float32, channels)
	for c := range out {
		out[c] = make([]float32, frames)
	}
	return out
}

// deinterleave writes whole frames into channels that are as long.
func deinterleave(channels [][]float32, interleaved []float32) {
	for c, out := range channels {
		for i := range out {
			out[i] = interleaved[i*len(channels)+c]
		}
	}
}

// zeroNotFinite replaces NaN and infinity by 0 and tells whether there were any.
func zeroNotFinite(samples []float32) bool {
	found := false
	for i, sample := range samples {
		if difference := sample - sample; difference != 0 || math.IsNaN(float64(difference)) {
			samples[i], found = 0, true
		}
	}
	return found
}
