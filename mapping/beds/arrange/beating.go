// How much a take beats where it was too short for its bed: what prolonging it adds to the swing of its levels.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	shortSec    = 2    // a longer steady part is repeated too seldom to beat
	bandBelowDB = 35   // the loudest band: what is softer does not count
	dipBelowDB  = 15   // the mean: a deeper dip counts as one of so much
	beatingPart = 0.25 // of the bands beat by the figure that is told, or by more
	leastLevels = 4    // of a band, to tell its swing
	ownSurely   = 1.15 // times the swing of a take itself: from less than two seconds it is known no better
	fineBeatDB  = 1    // a take that beats by more when it is spliced is drawn out, if that beats less
	mostBeatDB  = 3    // a take that would beat by more either way strikes instead
	poorRho     = 0.5  // sides of a splice that correlate by less do not fit
	poorPart    = 0.05 // of the splices of a take may be such
)

// Beating says how a held take of less than two seconds of steady sound was made to last as long as its bed. It is
// zero for a take that is longer, or that strikes.
type Beating struct {
	Drawn   bool `json:"drawn_out,omitempty"` // by a phase vocoder, which makes no splices
	Splices int  `json:"splices,omitempty"`   // places at which one voice of the take is joined to itself
	// BeatDB is by how much more the levels of auditory bands swing about their mean, from 1 to 20 times a second,
	// than they do in the take itself, as a sine that goes up and down so far would. A quarter of the bands do so, or
	// more.
	BeatDB float64 `json:"beat_db,omitempty"`
}

// noteBeating notes how a.voice, a part that was prolonged by pieces or, without any, drawn out, beats.
func (a *arranger) noteBeating(part int, pieces []piece) {
	m := &a.materials[part]
	if m.toFrame-m.fromFrame >= int(shortSec*float64(a.rateHz)) || m.noted {
		return // copies beat as the first voice does
	}
	m.noted, m.beating, m.poor = true, Beating{Drawn: m.drawn}, 0
	if len(pieces) > 0 {
		m.beating.Splices = len(pieces) - 1
	}
	for k, p := range pieces {
		if k > 0 && p.rho < poorRho {
			m.poor++
		}
	}
	own := a.swings(stem{m.left[m.fromFrame:m.toFrame], m.right[m.fromFrame:m.toFrame]})
	var more []float64
	for band, swing := range a.swings(a.voice) {
		if swing >= 0 && band < len(own) && own[band] >= 0 {
			itself := ownSurely * own[band]
			more = append(more, math.Sqrt(max(swing*swing-itself*itself, 0)))
		}
	}
	if len(more) > 0 {
		slices.Sort(more)
		m.beating.BeatDB = math.Sqrt2 * more[int((1-beatingPart)*float64(len(more)))]
	}
}

// chooseWay decides how a short take that goes on is made to last. It is spliced where that beats little and fits,
// since then all of its life is kept; else drawn out, if that beats less; and strikes gestures where both would beat.
func (a *arranger) chooseWay(part, copies int) {
	m := &a.materials[part]
	seconds := float64(m.toFrame-m.fromFrame) / float64(a.rateHz)
	if m.strikes || seconds >= shortSec {
		return
	}
	spliced, fits := Beating{BeatDB: math.Inf(1)}, false
	if seconds >= leastHeldSec {
		a.prolong(part, 0, copies)
		spliced, fits = m.beating, m.noisy || float64(m.poor) <= poorPart*float64(m.beating.Splices)
	}
	if !m.noisy && (!fits || spliced.BeatDB > fineBeatDB) {
		m.drawn, m.noted = true, false
		a.prolong(part, 0, copies)
		if fits && spliced.BeatDB <= m.beating.BeatDB {
			m.drawn, m.beating = false, spliced
		}
	}
	if m.beating.BeatDB > mostBeatDB {
		m.strikes, m.drawn, m.beating = true, false, Beating{}
	}
}

// swings are by how many dB the level of each auditory band goes up and down, root mean square; −1 for a band that
// does not count. A sound that is too short gives none.
func (a *arranger) swings(s stem) []float64 {
	bands, _ := sound.BandLevels(int64(len(s.left)), a.rateHz, func(samples []float32, from int64) error {
		for i := range samples {
			samples[i] = s.left[int(from)+i] + s.right[int(from)+i]
		}
		return nil
	})
	means, loudest := make([]float64, len(bands)), math.Inf(-1)
	for band, levels := range bands {
		if len(levels) < leastLevels {
			return nil
		}
		for _, level := range levels {
			means[band] += level / float64(len(levels))
		}
		loudest = max(loudest, means[band])
	}
	swings := make([]float64, len(bands))
	for band, levels := range bands {
		if means[band] < loudest-bandBelowDB {
			swings[band] = -1
			continue
		}
		squares := 0.0
		for _, swing := range sound.Swings(levels, means[band]-dipBelowDB) {
			squares += swing * swing
		}
		swings[band] = math.Sqrt(squares / float64(len(levels)))
	}
	return swings
}
