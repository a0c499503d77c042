// Clicks: a moment that sticks far out of a take that goes on is mended, before all of the take is turned down for it.

package clean

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	clickOverDB     = 6      // what sticks out of all around it by so much would pull a limiter by as much
	clickReachSec   = 0.0005 // on either side of its highest sample
	clickAroundSec  = 0.03
	clickEvenDB     = 6 // the sound goes on as it was: its levels before and after differ by no more
	clickGuard      = 4 // samples that are mended beside those that stick out
	mostClicks      = 50
	leastAroundDBFS = -70 // in digital silence anything sticks out
)

// removeClicks mends the clicks of a take that goes on, and returns how many there were. It begins with the highest
// sample of all channels and ends with one that is no click.
func removeClicks(channels [][]float32, rateHz int) (clicks int) {
	reach, around := max(int(clickReachSec*float64(rateHz)), 1), int(clickAroundSec*float64(rateHz))
	for ; clicks < mostClicks; clicks++ {
		channel, at := highestSample(channels)
		if at < around || at+around >= len(channel) {
			return clicks
		}
		before, after := channel[at-around:at-reach], channel[at+reach+1:at+around]
		level := max(sound.Peak(before), sound.Peak(after))
		evenDB := sound.PowerDB((sound.MeanSquare(before) + 1e-12) / (sound.MeanSquare(after) + 1e-12))
		over := sound.AmplitudeDB(math.Abs(float64(channel[at])) / max(float64(level), 1e-9))
		if over < clickOverDB || math.Abs(evenDB) > clickEvenDB ||
			sound.AmplitudeDB(float64(level)) < leastAroundDBFS {
			return clicks
		}
		first, last := at, at
		for i := at - reach; i <= at+reach; i++ {
			if channel[i] > level || channel[i] < -level {
				first, last = min(first, i), max(last, i)
			}
		}
		bridge(channel, first-clickGuard, last+clickGuard)
	}
	return clicks
}

// highestSample finds the sample farthest from 0: its channel and index.
func highestSample(channels [][]float32) (channel []float32, at int) {
	highest := float32(-1)
	for _, samples := range channels {
		for i, x := range samples {
			if x = max(x, -x); x > highest {
				highest, channel, at = x, samples, i
			}
		}
	}
	return channel, at
}

// bridge lays a cubic over the samples from first to last, through those on either side and their slopes.
func bridge(samples []float32, first, last int) {
	from, to := first-1, last+1
	length := float64(to - from)
	x, y := float64(samples[from]), float64(samples[to])
	slopeX := (x - float64(samples[from-1])) * length
	slopeY := (float64(samples[to+1]) - y) * length
	for i := first; i <= last; i++ {
		t := float64(i-from) / length
		u := t - 1
		samples[i] = float32(x*(1+2*t)*u*u + slopeX*t*u*u + y*t*t*(3-2*t) + slopeY*t*t*u)
	}
}
