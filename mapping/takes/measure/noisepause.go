// Whether what lies outside of a sound is a pause, or the same sound more softly.

package measure

import "math"

const (
	partialOverNoise = 30  // power of a bin over the noise in it that makes it a partial's
	peakOverNoise    = 3   // a bin of noise seldom reaches this many times its mean
	partialsInPause  = 0.3 // share of the power of a pause in the sound's partials that makes it no pause
	mainsTopHz       = 660
)

// isSound says whether a supposed pause sounds of the same partials as the sound: a note that swells or dies away
// without silence around it. Where the mains has its lines nothing is concluded, for hum is there all the time.
func (t *takeSpectrum) isSound(pause []float64) bool {
	if pause == nil {
		return false
	}
	noise := noiseBetween(pause, 1, t.binHz)
	first := int(lowestHearHz/t.binHz) + 1
	inPartials := 0.0
	for i := first; i < len(pause); i++ {
		if t.power[i] > partialOverNoise*t.between[i] && !nearMains(float64(i)*t.binHz, 2*t.binHz) {
			inPartials += max(0, pause[i]-peakOverNoise*noise[i])
		}
	}
	return inPartials > partialsInPause*sumOf(pause[first:])
}

func nearMains(hz, reachHz float64) bool {
	return hz < mainsTopHz && (math.Abs(math.Remainder(hz, 50)) < reachHz ||
		math.Abs(math.Remainder(hz, 60)) < reachHz)
}
