// What is likely wrong.

package compare

import (
	"fmt"
	"math"
	"slices"
)

// Kind names what a finding is of.
type Kind string

// What may be found.
const (
	Level     Kind = "level"
	OffTune   Kind = "tuning"
	Octave    Kind = "octave"
	OneRate   Kind = "rate of the samples"
	WholeRate Kind = "rate of the file"
	Delayed   Kind = "delay"
	Swapped   Kind = "swapped sides"
	OneSide   Kind = "mono"
	LoopOff   Kind = "loop"
	NoLayer   Kind = "missing layer"
	Exchanged Kind = "exchanged layers"
	Starts    Kind = "starts"
	Missing   Kind = "missing sound"
	Curve     Kind = "curve"
	Volume    Kind = "volume"
	Bend      Kind = "bend"
	Release   Kind = "release"
	Keys      Kind = "levels of keys"
	Course    Kind = "levels over time"
	Bands     Kind = "bands"
)

// Finding is one thing that differs, and what it likely comes from.
type Finding struct {
	Kind   Kind    `json:"kind"`
	Figure float64 `json:"figure"` // dB, cents or seconds, as the text says
	Text   string  `json:"text"`
}

func (r *Report) add(kind Kind, figure float64, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{kind, figure, fmt.Sprintf(format, args...)})
}

func (r *Report) has(kinds ...Kind) bool {
	return slices.ContainsFunc(r.Findings, func(f Finding) bool { return slices.Contains(kinds, f.Kind) })
}

// How far B may be from A. They are steps that are just heard in a direct comparison (common practice), and what an
// interpolation or a rounding of controllers may take.
const (
	nearDB      = 1.0
	nearMoment  = 2.0 // dB
	nearBand    = 2.0 // dB
	nearCents   = 3.0
	nearSec     = 0.01
	goneDB      = -20.0
	leastGone   = 0.6 // s
	nearBend    = 8.0 // cents
	nearRelease = 4.0 // dB

	missingZoneDB = -6.0 // keys that are so much softer may lack one of their zones

	unlike = 0.7 // correlation
)

// judge finds what is likely wrong, causes before what they bring with them.
func (r *Report) judge(a, b Sound, ga, gb grid, sections []Section) {
	r.judgeTuning()
	near := nearSec
	if r.roughDelay {
		near *= 5
	}
	if r.has(WholeRate) {
		near *= 10 // brought back to its rate, it is as exact as its tuning is known
	}
	if math.Abs(r.DelaySec) > near {
		r.add(Delayed, r.DelaySec, "it is %.0f ms %s", 1000*math.Abs(r.DelaySec),
			choose(r.DelaySec > 0, "late", "early"))
	}
	r.judgeGone(ga, sections)
	r.judgeMoves(ga, gb, sections)
	if inTune := r.TuneCents != nil && math.Abs(*r.TuneCents) <= nearCents; inTune && r.Correlation < unlike &&
		unlikeEverywhere(a, b, sections) && !r.has(Missing, NoLayer, LoopOff, Curve, Exchanged) {
		r.add(Starts, r.Correlation, "it is in tune, but its waveforms go with the others by %.2f alone: notes "+
			"begin elsewhere in their files, or the files are others", r.Correlation)
	}
	r.judgeSections(a, b, sections)
	if math.Abs(r.LevelDB) > nearDB && !r.has(Missing, NoLayer, LoopOff, Curve, Exchanged) {
		r.add(Level, r.LevelDB, "it is %.1f dB %s all over", math.Abs(r.LevelDB),
			choose(r.LevelDB > 0, "louder", "softer"))
	}
	if r.has(Missing, NoLayer, LoopOff, Curve, Keys, Exchanged, Starts, Volume, Bend, Release, OneRate, WholeRate,
		Octave, OffTune) {
		return
	}
	worst := slices.MaxFunc(r.Moments, func(x, y Moment) int { return cmpAbs(x.DiffDB, y.DiffDB) })
	over := slices.DeleteFunc(slices.Clone(r.beside), func(db float64) bool { return math.Abs(db) < nearMoment })
	if len(over) > 2 {
		r.add(Course, worst.DiffDB, "its level strays for %.1f s in all, most at %.1f s, by %+.1f dB: compare "+
			"the fade between the layers, the levels of keys and the envelope", momentSec*float64(len(over)),
			worst.Sec, worst.DiffDB)
		return
	}
	off := slices.DeleteFunc(slices.Clone(r.Bands), func(b BandDiff) bool { return math.Abs(b.DiffDB) < nearBand })
	if len(off) > 0 {
		most := slices.MaxFunc(off, func(x, y BandDiff) int { return cmpAbs(x.DiffDB, y.DiffDB) })
		r.add(Bands, most.DiffDB, "%d of %d third octaves from %.0f to %.0f Hz are off, most the one about %.0f "+
			"Hz, by %+.1f dB", len(off),
			len(r.Bands), off[0].Hz, off[len(off)-1].Hz, most.Hz, most.DiffDB)
	}
}

func choose(is bool, yes, no string) string {
	if is {
		return yes
	}
	return no
}

func cmpAbs(x, y float64) int { return int(math.Copysign(1, math.Abs(x)-math.Abs(y))) }

func (r *Report) judgeTuning() {
	if r.TuneCents == nil || math.Abs(*r.TuneCents) <= nearCents {
		return
	}
	cents := *r.TuneCents
	switch {
	case math.Abs(math.Abs(cents)-1200) < nearCents:
		r.add(Octave, cents, "it is an octave %s: middle C is named otherwise there, the roots are read wrong, "+
			"or the samples at twice "+
			"or half their rate", choose(cents > 0, "too high", "too low"))
	case rateRatio(cents) != 1:
		r.add(OneRate, cents, "it is %+.0f cents off, which is what samples give that are read at %.4g times "+
			"their rate", cents, rateRatio(cents))
	default:
		r.add(OffTune, cents, "it is %+.1f cents off", cents)
	}
}

// judgeGone finds where A sounds and B does not: a sound that ends while A's goes on is one whose loop is off.
func (r *Report) judgeGone(ga grid, sections []Section) {
	for i := 0; i < len(r.Moments); i++ {
		from := i
		for i < len(r.Moments) && r.Moments[i].DiffDB+r.LevelDB < goneDB {
			i++
		}
		if float64(i-from)*momentSec < leastGone {
			continue
		}
		sec, lasts := r.Moments[from].Sec, float64(i-from)*momentSec
		before := slices.ContainsFunc(r.Moments[max(from-2, 0):from], func(m Moment) bool {
			return m.Sec > sec-2.5*momentSec && m.DiffDB+r.LevelDB > goneDB/2
		})
		s, layer := sectionAt(sections, sec), layerWithin(sections, sec, sec+lasts)
		switch {
		case layer != "":
			r.add(NoLayer, sec, "from %.1f s on, for %.1f s, nothing sounds where the layer %s sounds alone: it "+
				"is missing", sec, lasts, layer)
		case s != nil && s.Try == TryRelease || falls(ga, sec):
			if !r.has(Release) {
				r.add(Release, sec, "a released note is gone at %.1f s while it still falls in the other: the "+
					"release is shorter", sec)
			}
		case before && continues(ga, sec):
			r.add(LoopOff, sec, "it falls silent at %.1f s, for %.1f s, while the note goes on: the loop is "+
				"off, or ends with the file", sec, lasts)
		default:
			r.add(Missing, sec, "from %.1f s on, for %.1f s, nothing sounds: a note, a layer or a zone is "+
				"missing", sec, lasts)
		}
	}
}

// layerWithin is the layer that sounds alone within a stretch, as near as moments tell; "" where none does. Its notes
// may have begun before.
func layerWithin(sections []Section, fromSec, toSec float64) string {
	const near = 2 * momentSec
	for _, s := range sections {
		if s.Layer != "" && s.FromSec > fromSec-near && s.ToSec < toSec+near {
			return s.Layer
		}
	}
	return ""
}

// falls says whether A's level has come down at a moment, as released notes do.
func falls(ga grid, sec float64) bool {
	const fallDB = 8
	m := int(math.Round(sec / momentSec))
	return m > 1 && dB(ga.moment(m)) < dB(ga.moment(m-2))-fallDB ||
		m > 0 && m+1 < ga.moments() && dB(ga.moment(m+1)) < dB(ga.moment(m-1))-fallDB
}

// continues says whether A's level stays where it is at a moment.
func continues(ga grid, sec float64) bool {
	m := int(math.Round(sec / momentSec))
	return m > 0 && m+1 < ga.moments() && math.Abs(dB(ga.moment(m+1))-dB(ga.moment(m-1))) < 10
}
