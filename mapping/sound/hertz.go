// Keys and hertz.

package sound

import "math"

const (
	// concertHz is concert pitch: the frequency of MIDI key 69 (ISO 16:1975; MIDI 1.0).
	concertHz  = 440
	concertKey = 69
)

// KeyHz is the frequency of a MIDI key, whole or with a fraction, in twelve equal semitones an octave.
func KeyHz(key float64) float64 { return concertHz * math.Exp2((key-concertKey)/12) }

// HzKey is the MIDI key of a frequency, with its fraction: the inverse of KeyHz.
func HzKey(hz float64) float64 { return concertKey + 12*math.Log2(hz/concertHz) }
