// How often a take is struck: one recording may hold several strikes of the same thing.

package measure

import "lapstrake/mapping/sound"

const (
	countRiseDB   = 14   // over the lowest level since the strike before
	countRiseSec  = 0.04 // in which a strike rises by that
	countUnderDB  = 20   // under the highest strike: what is softer is an echo or a rattle
	countApartSec = 0.15 // closer ones are a roll, and one sound
)

// countStrikes counts the beginnings in the blocks from onset to end, both in frames: the level falls by 10 dB and
// rises by as much within 40 ms. A sound that sets in once, however it goes on, counts 1.
func (b *blocks) countStrikes(onset, end int) int {
	from, to := min(onset/b.lengthFrames, len(b.smooth)-1), min(end/b.lengthFrames+1, len(b.smooth))
	highest := 0.0
	for _, level := range b.smooth[from:to] {
		highest = max(highest, level)
	}
	rise := int(countRiseSec / blockSec)
	apart := int(countApartSec / blockSec)
	up, down := sound.DBToPower(countRiseDB), sound.DBToPower(-countUnderDB)
	count, last, lowest := 1, from, highest
	top := 0.0 // of the strike that is on
	for i := from; i < to; i++ {
		level := b.smooth[i]
		if i-last < apart {
			top, lowest = max(top, level), level
			continue
		}
		lowest = min(lowest, level)
		before := b.smooth[max(from, i-rise)]
		if level > lowest*up && level > before*up/3 && level > highest*down && lowest*up < top {
			count++
			last, top, lowest = i, level, level
		}
	}
	return count
}
