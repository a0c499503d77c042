// Several sounds in one recording: where each begins.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

const (
	strikeRiseDB     = 6    // of the level over 20 ms against the 60 ms before: on the tail of the sound before as well
	strikeUnderDB    = 30   // the softest strike, under the loudest
	strikeFloorDB    = 60   // under the loudest: silence rises no further
	strikeApartSec   = 0.15 // what follows closer belongs to the strike
	strikeBeforeSec  = 0.06
	strikeLengthSec  = 0.02
	strikeMarginSec  = 0.03 // kept before an onset
	strikeTailSec    = 0.1  // kept behind the last one's end
	strikeMostRising = 8    // blocks over which a rise goes on
)

// Strike is one of the sounds of a recording, in seconds from its first frame, with a little of what is around it.
type Strike struct{ FromSec, ToSec float64 }

// Strikes finds the sounds of a recording that begin with a sudden rise of level, one after another. Each ends where
// the
// next begins, the last where the sound has sunk into the noise. A recording of one sound has one, silence none.
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
	starts := []float64{float64(onset) / rate}
	for _, block := range b.rising() {
		if sec := float64(block*b.lengthFrames) / rate; sec-starts[len(starts)-1] >= strikeApartSec {
			starts = append(starts, sec)
		}
	}
	for i, sec := range starts {
		strike := Strike{max(0, sec-strikeMarginSec), min(float64(end)/rate+strikeTailSec, s.Seconds())}
		if i+1 < len(starts) {
			strike.ToSec = max(sec, starts[i+1]-strikeMarginSec)
		}
		strikes = append(strikes, strike)
	}
	return strikes
}

// rising lists the blocks from which the level rises suddenly.
func (b *blocks) rising() (starts []int) {
	before, length := int(strikeBeforeSec/blockSec), int(strikeLengthSec/blockSec)
	top := slices.Max(b.smooth)
	floor := top * sound.DBToPower(-strikeFloorDB)
	rise := make([]float64, len(b.power)) // in dB
	for i := before; i+length <= len(b.power); i++ {
		now := mean(b.power[i : i+length])
		if now >= top*sound.DBToPower(-strikeUnderDB) {
			rise[i] = sound.PowerDB(max(now, floor) / max(mean(b.power[i-before:i]), floor))
		}
	}
	for i := range rise {
		near := rise[max(0, i-strikeMostRising):min(len(rise), i+strikeMostRising+1)]
		if rise[i] >= strikeRiseDB && rise[i] == slices.Max(near) {
			starts = append(starts, i)
		}
	}
	return starts
}

// Rounded is the strike in whole milliseconds, as a sheet shows them.
func (s Strike) Rounded() Strike {
	return Strike{math.Round(s.FromSec*1000) / 1000, math.Round(s.ToSec*1000) / 1000}
}
