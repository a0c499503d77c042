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

// zeroWild replaces samples far beyond full scale by 0 and sets NotFinite. One flipped bit in the exponent of a float
// turns a soft sample into 10³⁸. A sound in which such samples are many is an error: it was written to another scale.
func (s *Sound) zeroWild(path string) error {
	wild, highest := 0, float32(0)
	for _, channel := range s.Channels {
		for _, x := range channel {
			if x > wildLevel || x < -wildLevel {
				wild++
				highest = max(highest, x, -x)
			}
		}
	}
	switch {
	case wild == 0:
		return nil
	case float64(wild) > mostWildShare*float64(s.Frames()*len(s.Channels)):
		return fmt.Errorf("%s: found samples up to %.0f dB above full scale, expected floats of about -1 to 1; "+
			"save it anew at full scale, or get it again from where it came from",
			path, 20*math.Log10(float64(highest)))
	}
	s.NotFinite = true
	for _, channel := range s.Channels {
		for i, x := range channel {
			if x > wildLevel || x < -wildLevel {
				channel[i] = 0
			}
		}
	}
	return nil
}
