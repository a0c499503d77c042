// Samples far beyond full scale: what flipped bits make of floats.

package decode

import (
	"fmt"
	"math"
)

const (
	wildLevel     = 64   // +36 dBFS: floats may exceed full scale, but no recording does so this far
	mostWildShare = 0.01 // of the samples; more are not flipped bits but another scale
)

// wildSamples counts them.
type wildSamples struct {
	samples, wild int64
	highest       float32
}

// zeroWild replaces samples far beyond full scale by 0. One flipped bit in the exponent of a float turns a soft sample
// into 10³⁸.
func (w *wildSamples) zeroWild(block [][]float32) {
	for _, channel := range block {
		w.samples += int64(len(channel))
		for i, x := range channel {
			if x > wildLevel || x < -wildLevel {
				w.wild++
				w.highest = max(w.highest, x, -x)
				channel[i] = 0
			}
		}
	}
}

// tooWild is an error where such samples are many: the sound was written to another scale.
func (o *output) tooWild() error {
	if float64(o.wild) <= mostWildShare*float64(o.samples) {
		return nil
	}
	return fmt.Errorf("%s: found samples up to %.0f dB above full scale, expected floats of about -1 to 1; "+
		"save it anew at full scale, or get it again from where it came from",
		o.path, 20*math.Log10(float64(o.highest)))
}
