// Tilt: what is played softly is darker than what is played hard (Risset & Mathews 1969).

package clean

import (
	"math"

	"lapstrake/mapping/sound"
)

// tiltOctaves is how far apart the shelves lie that a tilt is made of: the slope is even within 0.1 dB for each dB of
// it.
const tiltOctaves = 2

// DarkenedFromHz is where the fall of Treatment.DarkerDB begins: two octaves below the root. In high beds most of what
// makes them bright or dark lies below their root.
func DarkenedFromHz(rootKey int) float64 { return sound.KeyHz(float64(rootKey - 24)) }

// DarkenedDB is what lies at a frequency falls by, at DarkerDB of 1: it is so far above DarkenedFromHz, in octaves.
func DarkenedDB(hz float64, rootKey int) float64 {
	return max(math.Log2(hz/DarkenedFromHz(rootKey)), 0)
}

// tilt lowers what lies above a frequency by so many dB with each octave, by shelves of the first order: an attack is
// not smeared, and nothing sounds before it. channels that are the same slice twice must come once.
func tilt(channels [][]float32, rateHz int, fromHz, dbPerOctave float64) {
	if dbPerOctave == 0 {
		return
	}
	gain := sound.DBToAmplitude(-tiltOctaves * dbPerOctave)
	for hz := fromHz * tiltOctaves; hz < 0.45*float64(rateHz); hz *= 1 << tiltOctaves {
		// (gain s + √gain) / (s + √gain), s in units of the shelf's middle, by the bilinear transform
		tan := math.Tan(math.Pi*hz/float64(rateHz)) * math.Sqrt(gain)
		b0, b1, a1 := (gain+tan)/(1+tan), (tan-gain)/(1+tan), (tan-1)/(1+tan)
		for _, channel := range channels {
			x1, y1 := 0.0, 0.0
			for i, sample := range channel {
				x := float64(sample)
				y1, x1 = b0*x+b1*x1-a1*y1, x
				channel[i] = float32(y1)
			}
		}
	}
}
