// The stretches of a take that sound, parted by pauses.

package measure

import (
	"slices"

	"lapstrake/mapping/sound"
)

const (
	stretchGapSec   = 0.25 // a shorter silence parts syllables, not sounds
	stretchLeastSec = 0.06 // less is a click
	stretchOverDB   = 9    // over the quiet of the take
	stretchDepthDB  = 40   // under its highest level
	stretchQuietest = 20   // one in so many blocks is quieter than the quiet of the take
)

// stretch is a part of a take that sounds, in frames.
type stretch struct{ from, to int }

// of is the stretch of samples.
func (s stretch) of(samples []float32) []float32 { return samples[s.from:min(s.to, len(samples))] }

// stretches are the parts of a take that sound, in order; one when there is no pause.
func (b *blocks) stretches() []stretch {
	var heard []float64
	for i, power := range b.power {
		if power > digitalSilence {
			heard = append(heard, b.slow[i])
		}
	}
	if len(heard) == 0 {
		return nil
	}
	slices.Sort(heard)
	threshold := slices.Max(b.smooth) * sound.DBToPower(-stretchDepthDB)
	if len(heard) == len(b.power) { // without digital silence there is noise
		threshold = max(threshold, heard[len(heard)/stretchQuietest]*sound.DBToPower(stretchOverDB))
	}
	var all []stretch
	gap, least := int(stretchGapSec/blockSec), int(stretchLeastSec/blockSec)
	first, last := -1, -1
	end := func() {
		if first >= 0 && last-first >= least {
			all = append(all, stretch{first * b.lengthFrames, (last + 1) * b.lengthFrames})
		}
		first = -1
	}
	for i, level := range b.smooth {
		switch {
		case level > threshold:
			if first < 0 {
				first = i
			}
			last = i
		case first >= 0 && i-last > gap:
			end()
		}
	}
	end()
	return all
}
