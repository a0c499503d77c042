// Doubling: a bed of few takes gets copies of them, apart in time, tuning and place.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

// copies is how many voices each take of a bed has.
func (a *arranger) copies(takes int) int {
	return max((a.settings.MinVoices+takes-1)/takes, 1)
}

// copyPlace puts the copies of a take on opposite sides: the first two at its place and at the mirror of it, further
// ones nearer to the middle. A take in the middle of a bed moves out, for its copies to have sides.
func copyPlace(place float64, voice, copies int, width float64) float64 {
	if copies == 1 {
		return place
	}
	side := float64(1 - 2*(voice%2))
	if math.Abs(place) < 0.4*width {
		place = math.Copysign(0.4*width+0.6*math.Abs(place), place)
	}
	return side * place * math.Pow(0.45, float64(voice/2))
}

// copyCents spreads the tunings of copies evenly around the take's own; neighbours in tuning are on opposite sides.
func copyCents(voice, copies int, spanCents float64) float64 {
	if copies == 1 {
		return 0
	}
	return spanCents * (float64(voice)/float64(copies-1) - 0.5)
}

// detuned returns a copy of a stretch of a take, moved by cents.
func detuned(take stem, cents float64) stem {
	channels := take.channels()
	for i := range channels {
		channels[i] = slices.Clone(channels[i])
	}
	sound.Resample(channels, math.Exp2(-cents/1200))
	return stem{channels[0], channels[len(channels)-1]}
}
