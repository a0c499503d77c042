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

// deinterleave writes whole frames into the channels from frame at on, which must have room.
func deinterleave(channels [][]float32, interleaved []float32, at int) {
	for c, channel := range channels {
		out := channel[at : at+len(interleaved)/len(channels)]
		for i := range out {
			out[i] = interleaved[i*len(channels)+c]
		}
	}
}

// appendFrames appends whole interleaved frames where the number to come is not known.
func appendFrames(channels [][]float32, interleaved []float32) {
	at := len(channels[0])
	for c := range channels {
		channels[c] = append(channels[c], make([]float32, len(interleaved)/len(channels))...)
	}
	deinterleave(channels, interleaved, at)
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
