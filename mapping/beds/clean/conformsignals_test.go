// Sounds with known properties for the tests of Conform, and ways to measure them that Conform itself does not use.

package clean

import (
	"math"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
)

// clean are the measures of a take that sounds from onset to end without noise.
func clean(kind measure.Kind, hz, onsetSec, endSec float64) measure.Measures {
	return measure.Measures{
		Kind: kind, OnsetSec: onsetSec, EndSec: endSec, SNRDB: 96, NoiseFloorDBFS: -110, HumDBFS: math.NaN(),
		Pitch: measure.Pitch{Hz: hz, Confidence: 1},
	}
}

// bare leaves a take as it is: what a test is about it switches on.
func bare() project.ConformSettings {
	return project.ConformSettings{RumbleFraction: 0.5, RumbleOrder: 4, NoisyLowCutHz: 30, CleanSNRDB: 60,
		LoudnessLUFS: -23, PeakDBFS: -1}
}

// conform cleans the whole of a take and conforms it.
func conform(sound *decode.Sound, m measure.Measures, treat Treatment, set project.ConformSettings,
	rateHz int) (*Conformed, error) {
	cleaned, err := Take(sound, m, treat.TakeKey, set)
	if err != nil {
		return nil, err
	}
	return cleaned.Conform(treat, set, rateHz, math.MaxInt, 0)
}
