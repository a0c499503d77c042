// Struck takes: strokes at irregular distances, of varied level and place.

package arrange

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	strokeLeastSec = 0.35 // the densest mean distance between strokes of one take
	strokePerRing  = 0.8  // mean distance between strokes, in times that the take needs to sink by 20 dB
	strokeNearest  = 0.4  // distances, in mean ones: from here …
	strokeFarthest = 1.6  // … to here
	strokeSpread   = 0.2  // how far strokes are placed from their take's place, either way
	tailFade       = 0.3  // of a tail, where it is cut
)

// scatter strews strokes of a part over the bed, its copies by turns: a part with copies is struck more often, as it
// stands for several. Some strokes begin before the bed, so that it begins amid their tails.
func (a *arranger) scatter(part int, place float64, copies int) {
	s := &a.materials[part]
	rate := float64(a.rateHz)
	hits := make([]stem, copies)
	for voice := range hits {
		hits[voice] = detuned(stem{s.left[:s.tailFrames], s.right[:s.tailFrames]},
			copyCents(voice, copies, a.settings.DoubleCents))
		fadeTail(hits[voice])
	}
	every := min(max(strokePerRing*float64(s.ringFrames)/rate, strokeLeastSec),
		a.settings.StrokeSec) / math.Sqrt(float64(copies)) / s.favour
	every = max(every, a.settings.DoubleMs/1000/strokeNearest)
	c := newChance(a.seed, forStrokes, s.index, 0)
	voice := c.below(copies)
	for sec := -float64(s.tailFrames)/rate - every*c.unit(); ; sec += every * c.between(strokeNearest, strokeFarthest) {
		levelDB := c.between(-a.settings.StrokeDB, a.settings.StrokeDB)
		aside := copyPlace(place, voice, copies, a.settings.Width) + c.between(-strokeSpread, strokeSpread)
		aside = min(max(aside, -1), 1)
		at := int(math.Floor(sec * rate))
		if at >= a.frames {
			return
		}
		if end := at + len(hits[voice].left); end > 0 {
			a.stems[part].place(hits[voice], at, placeAt(aside, sound.DBToAmplitude(levelDB)), nil)
			a.span(part, voice, Stroke, at, end, levelDB, aside)
		}
		voice = (voice + 1) % copies
	}
}

// fadeTail lets the end of a tail sink to nothing.
func fadeTail(take stem) {
	frames := int(tailFade * float64(len(take.left)))
	for i := range frames {
		g := float32(flank(float64(i) / float64(frames)))
		for _, channel := range take.channels() {
			channel[len(channel)-1-i] *= g
		}
	}
}
