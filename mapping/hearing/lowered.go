// What is left off a root's harmonics when the tones there are lowered.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

// Lowered is the moment with all tones that lie off the harmonics of a root lowered by so many decibels.
func (m Moment) Lowered(rootHz, db float64) Moment {
	lowered := Moment{AtSec: m.AtSec, Weighted: m.Weighted, Tones: make([]Tone, len(m.Tones))}
	gain := sound.DBToPower(-db)
	for i, t := range m.Tones {
		if IsOff(t.Hz, rootHz) {
			t.Power *= gain
		}
		lowered.Tones[i] = t
	}
	return lowered
}

// IsOff says whether a tone lies over 50 cents from a harmonic of a root, where harmonics are looked at.
func IsOff(hz, rootHz float64) bool {
	return hz < highestGridHz(rootHz) && math.Abs(CentsOff(hz, rootHz)) > onGridCents
}

// LeastLowering is by how many decibels, at most most, the tones off the harmonics of a root must be lowered to leave
// no more than wanted of the strong tones there, and what is there then.
func LeastLowering(moments []Moment, rootHz, wanted, most float64) (db float64, after Grid) {
	const step = 1.5
	lowered := make([]Moment, len(moments))
	for {
		for i, m := range moments {
			lowered[i] = m.Lowered(rootHz, db)
		}
		after = OnGrid(lowered, rootHz)
		if after.OffShare <= wanted || db >= most {
			return db, after
		}
		db = min(db+step, most)
	}
}
