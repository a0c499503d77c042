// Several sounds in one recording: where each begins.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

const (
	strikeRiseDB    = 13    // over the lowest level since the strike before
	strikeRiseSec   = 0.04  // in which a strike rises by that
	strikeUnderDB   = 20    // under the highest strike: what is softer is an echo or a rattle
	strikeApartSec  = 0.15  // closer ones are a roll, and one sound
	strikeStopDB    = 30    // under the strike before: the sound has stopped, and the next may rise slowly
	beatNearDB      = 3     // over the bottom of a dip, and
	beatFarDB       = 10    // so far: between them the rise out of the dip is timed
	beatDipSec      = 0.1   // wider is no dip of beats
	beatRiseSec     = 0.015 // quicker is a strike
	strikeMarginSec = 0.03  // kept before an onset
	strikeTailSec   = 0.1   // kept behind the last one's end
)

// Strike is one of the sounds of a recording, in seconds from its first frame, with a little of what is around it.
type Strike struct{ FromSec, ToSec float64 }

// Strikes finds the sounds of a recording that begin with a sudden rise of level, one after another. Each ends where
// the next begins, the last where the sound has sunk into the noise. A recording of one sound has one, silence none.
func Strikes(s *decode.Sound) []Strike {
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
	return strikeBlocks(samples, s.RateHz).strikes(onset, end, s.RateHz, s.Frames())
}

// strikeBlocks are those that strikes are told from: thumps of a room under a note that dies away are no strikes.
func strikeBlocks(samples []float32, rateHz int) *blocks {
	return blocksOf(samples, rateHz, newAboveRumble(rateHz))
}

// strikes are those from onset to end, in frames, of a recording of so many frames.
func (b *blocks) strikes(onset, end, rateHz, frames int) (strikes []Strike) {
	rate := float64(rateHz)
	var starts []float64
	for _, block := range b.strikeStarts(onset, end) {
		starts = append(starts, float64(block*b.lengthFrames)/rate)
	}
	starts[0] = float64(onset) / rate
	for i, sec := range starts {
		strike := Strike{max(0, sec-strikeMarginSec), min(float64(end)/rate+strikeTailSec, float64(frames)/rate)}
		if i+1 < len(starts) {
			strike.ToSec = max(sec, starts[i+1]-strikeMarginSec)
		}
		strikes = append(strikes, strike)
	}
	return strikes
}

// strikeStarts lists the blocks from onset to end, both in frames, in which a strike begins: after the strike before
// the level has fallen by 13 dB, and it rises by as much within 40 ms, or however slowly after it had stopped. A sound
// that sets in once, however it goes on, has one; partials that beat against each other make none.
func (b *blocks) strikeStarts(onset, end int) []int {
	from, to := min(onset/b.lengthFrames, len(b.smooth)-1), min(end/b.lengthFrames+1, len(b.smooth))
	highest := slices.Max(b.smooth[from:to])
	rise, apart := int(strikeRiseSec/blockSec), int(strikeApartSec/blockSec)
	up, down := sound.DBToPower(strikeRiseDB), sound.DBToPower(-strikeUnderDB)
	starts, last, lowest := []int{from}, from, highest
	top, lowestAt := 0.0, from // of the strike that is on
	stop := sound.DBToPower(strikeStopDB)
	for i := from; i < to; i++ {
		level := b.smooth[i]
		if i-last < apart {
			top, lowest, lowestAt = max(top, level), level, i
			continue
		}
		if level <= lowest {
			lowest, lowestAt = level, i
		}
		before := max(from, i-rise)
		sudden := level > b.smooth[before]*up/3
		if lowest*stop < top {
			before, sudden = lowestAt, true
		}
		if level > lowest*up && sudden && level > highest*down && lowest*up < top {
			if !b.beats(lowestAt) {
				starts = append(starts, b.beginning(before, i))
				last = i
			}
			top, lowest, lowestAt = level, level, i
		}
	}
	return starts
}

// beats says whether the level dips at a block as that of two partials that beat against each other does: it falls as
// quickly as it rises again. Before a strike it falls slowly, or stays down for a while, or it rises at once.
func (b *blocks) beats(lowestAt int) bool {
	near, far := b.smooth[lowestAt]*sound.DBToPower(beatNearDB), b.smooth[lowestAt]*sound.DBToPower(beatFarDB)
	before, after, rise := lowestAt, lowestAt, 0
	for before > 0 && b.smooth[before] < far {
		before--
	}
	for after < len(b.smooth)-1 && b.smooth[after] < far {
		if after++; b.smooth[after] > near {
			rise++
		} else {
			rise = 0
		}
	}
	return rise >= int(beatRiseSec/blockSec) && after-before <= int(beatDipSec/blockSec) &&
		lowestAt-before <= 3*(after-lowestAt)
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
