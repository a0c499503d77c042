// Several sounds in one recording: where each begins.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

const (
	strikeRiseDB    = 13   // over the lowest level since the strike before
	strikeRiseSec   = 0.04 // in which a strike rises by that
	strikeUnderDB   = 20   // under the highest strike: what is softer is an echo or a rattle
	strikeApartSec  = 0.15 // closer ones are a roll, and one sound
	strikeMarginSec = 0.03 // kept before an onset
	strikeTailSec   = 0.1  // kept behind the last one's end
)

// Strike is one of the sounds of a recording, in seconds from its first frame, with a little of what is around it.
type Strike struct{ FromSec, ToSec float64 }

// Strikes finds the sounds of a recording that begin with a sudden rise of level, one after another. Each ends where
// the next begins, the last where the sound has sunk into the noise. A recording of one sound has one, silence none.
func Strikes(s *decode.Sound) (strikes []Strike) {
	if s.RateHz <= 0 || s.Frames() == 0 {
		return nil
	}
	m := Absent()
	measureWidth(s, &m)
	samples := analysisSignal(s, &m)
	b := newBlocks(samples, s.RateHz)
	onset, end, found := findSounding(samples, s.RateHz, b)
	if !found {
		return nil
	}
	rate := float64(s.RateHz)
	var starts []float64
	for _, block := range b.strikeStarts(onset, end) {
		starts = append(starts, float64(block*b.lengthFrames)/rate)
	}
	starts[0] = float64(onset) / rate
	for i, sec := range starts {
		strike := Strike{max(0, sec-strikeMarginSec), min(float64(end)/rate+strikeTailSec, s.Seconds())}
		if i+1 < len(starts) {
			strike.ToSec = max(sec, starts[i+1]-strikeMarginSec)
		}
		strikes = append(strikes, strike)
	}
	return strikes
}

// strikeStarts lists the blocks from onset to end, both in frames, in which a strike begins: after the strike before the
// level has fallen by 13 dB, and it rises by as much within 40 ms. A sound that sets in once, however it goes on, has one.
func (b *blocks) strikeStarts(onset, end int) []int {
	from, to := min(onset/b.lengthFrames, len(b.smooth)-1), min(end/b.lengthFrames+1, len(b.smooth))
	highest := slices.Max(b.smooth[from:to])
	rise, apart := int(strikeRiseSec/blockSec), int(strikeApartSec/blockSec)
	up, down := sound.DBToPower(strikeRiseDB), sound.DBToPower(-strikeUnderDB)
	starts, last, lowest := []int{from}, from, highest
	top := 0.0 // of the strike that is on
	for i := from; i < to; i++ {
		level := b.smooth[i]
		if i-last < apart {
			top, lowest = max(top, level), level
			continue
		}
		lowest = min(lowest, level)
		before := max(from, i-rise)
		if level > lowest*up && level > b.smooth[before]*up/3 && level > highest*down && lowest*up < top {
			starts = append(starts, b.beginning(before, i))
			last, top, lowest = i, level, level
		}
	}
	return starts
}

// beginning is the block between two in which the level begins to rise to that of the second.
func (b *blocks) beginning(from, to int) int {
	for i := to; i > from; i-- {
		if b.power[i-1] > b.power[i] {
			return i
		}
	}
	return from
}

// Rounded is the strike in whole milliseconds, as a sheet shows them.
func (s Strike) Rounded() Strike {
	return Strike{math.Round(s.FromSec*1000) / 1000, math.Round(s.ToSec*1000) / 1000}
}
