// Levelling: takes come to a common loudness.

package clean

import (
	"math"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

// quietestLUFS: below this there is nothing that could be raised to sound.
const quietestLUFS = -120

// level brings the channels to the common loudness, corrected by the builder's gain, and keeps their peaks under
// the highest allowed. False: there is no sound to level.
func (c *Conformed) level(channels [][]float32, gainDB float64, set project.ConformSettings) bool {
	lufs := takeLoudness(channels, c.RateHz, c.Kind)
	peak := max(sound.Peak(channels[0]), sound.Peak(channels[len(channels)-1]))
	if !(lufs > quietestLUFS) || peak == 0 {
		return false
	}
	c.GainDB = set.LoudnessLUFS - lufs + gainDB
	if headroomDB := set.PeakDBFS - sound.AmplitudeDB(float64(peak)); c.GainDB > headroomDB {
		c.GainDB, c.PeakGuarded = headroomDB, true
	}
	c.LoudnessLUFS = lufs + c.GainDB
	gain := float32(sound.DBToAmplitude(c.GainDB))
	for _, channel := range channels {
		for i := range channel {
			channel[i] *= gain
		}
	}
	return true
}

// takeLoudness is how loud a take is (ITU-R BS.1770-5). What goes on is heard by its gated mean, what is struck
// by its loudest 400 ms: how long it rings must not change how hard it seems struck. Whatever is shorter than 400 ms
// counts as if silence followed, since the ear sums up short sounds over about that time (common practice).
func takeLoudness(channels [][]float32, rateHz int, kind measure.Kind) float64 {
	meter := sound.NewMeter(rateHz, sound.StereoWeights)
	left, right := channels[0], channels[len(channels)-1]
	meter.Add(left, right)
	if missing := rateHz/2 - len(left); missing > 0 {
		silence := make([]float32, missing)
		meter.Add(silence, silence)
	}
	lufs := meter.MaxMomentaryLUFS()
	if kind != measure.Struck {
		if integrated := meter.IntegratedLUFS(); !math.IsNaN(integrated) {
			lufs = integrated
		}
	}
	return lufs
}
