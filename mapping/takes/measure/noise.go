// The noise of a take: what is there when it does not sound.

package measure

import (
	"slices"

	"lapstrake/mapping/sound"
)

const (
	pauseGuardSec  = 0.03  // kept away from onset and end
	pauseNeededSec = 0.1   // of pauses that the floor is told from
	digitalSilence = 1e-11 // −110 dBFS: padding, not the noise of a room or of 16 bits
	pauseOutlier   = 4     // times the level that is usual there: a click in a pause, or no pause
)

// measureNoise fills in noise floor and SNR. The floor is the level of the pause before the onset, else of that after
// the end: the mean square of its blocks, clicks left out. Without pauses it is what lies between the partials, but
// not more than the quietest moment.
func measureNoise(samples []float32, rateHz, onset, end int, b *blocks, t *takeSpectrum, m *Measures) {
	before, after := b.pauseFloors(onset, end, len(samples), rateHz)
	between := sumOf(t.between)
	if inside := b.inside(onset, end); len(inside) > 0 {
		between = min(between, slices.Min(inside))
	}
	floor := between
	switch {
	case before > 0:
		floor, m.NoiseFromPauses = before, true
	case after > 0:
		floor, m.NoiseFromPauses = min(after, between), true
	}
	m.NoiseFloorDBFS = sound.PowerDB(floor)
	m.SNRDB = sound.PowerDB(max(0, sound.MeanSquare(samples[onset:end])-floor) / floor)
}

// withoutPauses moves onset and end to the first and the last frame where what lies beyond them is no pause: it has
// the sound's partials in it, or is much louder than the noise elsewhere because the recording stops before the
// sound has died away.
func (t *takeSpectrum) withoutPauses(b *blocks, onset, end, frames, rateHz int) (trueOnset, trueEnd int) {
	before, after := b.pauseFloors(onset, end, frames, rateHz)
	floor := sumOf(t.between)
	if t.isSound(t.before) && (t.early == nil || t.isSound(t.early)) {
		onset, t.before = 0, nil
	} else if before > 0 {
		floor = before
	}
	if t.isSound(t.after) || after > pauseOutlier*floor {
		end, t.after = frames, nil
	}
	return onset, end
}

// pauseFloors are the floors of the pauses before onset and after end.
func (b *blocks) pauseFloors(onset, end, frames, rateHz int) (before, after float64) {
	guard := int(pauseGuardSec * float64(rateHz))
	return pauseFloor(b, 0, onset-guard), pauseFloor(b, end+guard, frames)
}

// inside gives the smoothed levels between onset and end, both left out.
func (b *blocks) inside(onset, end int) []float64 {
	from, to := onset/b.lengthFrames+3, end/b.lengthFrames-3
	if from >= to {
		return nil
	}
	return b.smooth[from:to]
}

// pauseFloor is the mean square of a pause about its mean, those blocks left out whose surroundings stand out; 0 when
// the pause is too short or holds only digital silence.
func pauseFloor(b *blocks, from, to int) float64 {
	var levels []float64
	first, beyond := (from+b.lengthFrames-1)/b.lengthFrames, to/b.lengthFrames
	for i := first; i < beyond; i++ {
		if b.power[i] > digitalSilence {
			levels = append(levels, b.smooth[i])
		}
	}
	if float64(len(levels))*blockSec < pauseNeededSec {
		return 0
	}
	slices.Sort(levels)
	limit := pauseOutlier * levels[len(levels)/2]
	square, offset, n := 0.0, 0.0, 0.0
	for i := first; i < beyond; i++ {
		if b.power[i] > digitalSilence && b.smooth[i] <= limit {
			square += b.power[i]
			offset += b.mean[i]
			n++
		}
	}
	return square/n - (offset/n)*(offset/n)
}
