// Struck takes: gestures of strokes with rests between them, while it is the take's turn.

package arrange

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	strokeLeastSec = 0.25 // the densest mean distance between strokes of one take
	strokePerRing  = 0.8  // mean distance between strokes, in times that the take needs to sink by 20 dB
	strokeNearest  = 0.6  // distances, in mean ones: from here …
	strokeFarthest = 1.4  // … to here
	strokeSpread   = 0.2  // how far strokes are placed from their take's place, either way
	tailFade       = 0.3  // of a tail, where it is cut
	gestureLeast   = 3    // strokes of a gesture, from here …
	gestureMost    = 6    // … to here
	gestureFalls   = 1.5  // dB from one stroke of a gesture to the next, at most
	gestureBends   = 0.18 // how much quicker or slower each distance is than the one before, at most
	restLeast      = 1.2  // a rest between gestures, in mean distances: from here …
	restMost       = 2.4  // … to here
	restLeastSec   = 0.45
	restMostSec    = 1.2
	echoDB         = 18 // so far below its height a take strikes on after its turn
)

// strike lays gestures of a part. Each has a pace that quickens or slows, and falls away in level. A turn begins with
// one, and more follow after rests for as long as the take stands back by no more than echoDB. The copies strike in
// turn, as a part with copies stands for several. Gestures begin before the bed, which so begins amid their tails.
func (a *arranger) strike(part int, leads []lead, backDB, place float64, copies int) {
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
	hit := func(sec, gainDB float64) {
		aside := copyPlace(place, voice, copies, a.settings.Width) + c.between(-strokeSpread, strokeSpread)
		aside = min(max(aside, -1), 1)
		at := int(math.Floor(sec * rate))
		if end := at + len(hits[voice].left); end > 0 && at < a.frames {
			a.stems[part].place(hits[voice], at, placeAt(aside, sound.DBToAmplitude(gainDB)), nil)
			a.span(part, voice, Stroke, at, end, gainDB, aside)
		}
		voice = (voice + 1) % copies
	}
	sec := -every * (1 + c.unit())
	for k := 0; k <= len(leads); k++ {
		end := float64(a.frames) / rate
		if k < len(leads) {
			end = max(leads[k].fromSec, 0)
		}
		for sec < end {
			pace, bend := every*c.between(0.8, 1.2), 1+gestureBends*c.between(-1, 1)
			fallDB := gestureFalls * c.unit()
			for stroke := range gestureLeast + c.below(gestureMost-gestureLeast+1) {
				if sec >= end {
					break
				}
				levelDB := c.between(-a.settings.StrokeDB, a.settings.StrokeDB) - fallDB*float64(stroke)
				if turnDB := a.turnDB(leads, max(sec, 0), backDB); turnDB >= -echoDB {
					hit(sec, turnDB+levelDB)
				}
				sec += pace * c.between(strokeNearest, strokeFarthest)
				pace *= bend
			}
			sec += min(max(every*c.between(restLeast, restMost), restLeastSec), restMostSec)
		}
		sec = end
	}
}

// fadeTail lets the end of a tail sink to nothing.
func fadeTail(take stem) {
	frames := int(tailFade * float64(len(take.left)))
	for i := range frames {
		g := float32(0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(frames)))
		for _, channel := range take.channels() {
			channel[len(channel)-1-i] *= g
		}
	}
}
