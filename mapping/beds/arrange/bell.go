// Bells: a take that others lie over is brought out where it is nearest to being heard, rather than made louder as a
// whole, which would lay it over the others in turn.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

// Bell is what a part is changed by around a frequency.
type Bell struct {
	Hz float64 `json:"hz"`
	DB float64 `json:"db"`
}

const (
	bellERB     = 3  // how wide a bell is, between the points of half its height
	bellsMost   = 3  // of one part
	bellsApart  = 2  // ERB: two bells that would lie nearer are one
	bellLeastHz = 30 // below it, a bell would be as wide as all that lies there
)

// section is the filter of a bell; ok is false where there is none at that rate.
func (b Bell) section(rateHz int) (s sound.Section, ok bool) {
	if b.Hz < bellLeastHz || b.Hz > 0.4*float64(rateHz) {
		return s, false
	}
	number := sound.ERBNumber(b.Hz)
	width := sound.ERBHz(number+bellERB/2.0) - sound.ERBHz(number-bellERB/2.0)
	return sound.Bell(b.Hz/float64(rateHz), b.Hz/width, b.DB), true
}

// bellGain is what bells multiply the power at a frequency in Hz by.
func bellGain(bells []Bell, rateHz int) func(hz float64) float64 {
	var sections []sound.Section
	for _, b := range bells {
		if s, ok := b.section(rateHz); ok {
			sections = append(sections, s)
		}
	}
	return func(hz float64) float64 {
		gain := 1.0
		for _, s := range sections {
			gain *= s.PowerGain(min(hz/float64(rateHz), 0.5))
		}
		return gain
	}
}

// bringOut puts a stem through bells.
func (s *stem) bringOut(bells []Bell, rateHz int) {
	for _, b := range bells {
		if section, ok := b.section(rateHz); ok {
			for _, channel := range s.channels() {
				section.Filter(channel)
			}
		}
	}
}

// withBell are bells and one more: where one is near already, that one is raised instead. None is higher than mostDB;
// nil where there is no room.
func withBell(bells []Bell, more Bell, mostDB float64) []Bell {
	more.DB = min(more.DB, mostDB)
	if more.DB <= 0 {
		return nil
	}
	apart := func(b Bell) float64 { return math.Abs(sound.ERBNumber(b.Hz) - sound.ERBNumber(more.Hz)) }
	if at := slices.IndexFunc(bells, func(b Bell) bool { return apart(b) < bellsApart }); at >= 0 {
		if bells[at].DB >= mostDB {
			return nil
		}
		raised := slices.Clone(bells)
		raised[at].DB = min(raised[at].DB+more.DB, mostDB)
		return raised
	}
	if len(bells) == bellsMost {
		return nil
	}
	return append(slices.Clone(bells), more)
}
