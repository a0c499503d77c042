// How sure a pitch is, and whether there are several.

package measure

import (
	"math"
	"slices"
)

const (
	severalFrom  = 0.19 // share of a second series, against the first, from which it is a second pitch
	partialReach = 0.12 // a peak this near to a partial, in partial numbers, belongs to it
	joinedFirst  = 0.07 // weaker partials, against the strongest, count as missing
	joinedRoot   = 0.2  // weaker ones are not notes of their own
	joinedTo     = 16   // partials looked at
	// fit of the series at which the pitch is as likely right as wrong: recorded notes reach it, chords do not
	sureFit      = 0.43
	sureFitSpan  = 0.05
	sureSteady   = 0.4 // share of the power in the low partials that a note reaches
	sureTonality = 0.6 // share of the power in peaks that a note reaches
	sureCycles   = 8   // shorter sounds say little about their pitch
	sureDrift    = 100 // cents; vibrato stays below, speech and glides do not
	lowLoneHz    = 60  // a lone peak below this is rumble
)

// secondPitch is how much a second series explains of the peaks off the best one, against all that is on it.
func secondPitch(peaks []pitchPeak, best series) float64 {
	var rest []pitchPeak
	on, off := 1e-9, 0.0
	for _, p := range peaks {
		k := best.number(p.hz)
		if math.Abs(k-max(math.Round(k), 1)) < partialReach {
			on += p.weight
			continue
		}
		off += p.weight
		rest = append(rest, p)
	}
	if off < severalFrom*on {
		return 0
	}
	rated := rateSeries(rest)
	if len(rated) == 0 {
		return 0
	}
	return max(rated[0].explained, 0) * math.Sqrt(rated[0].present) * off / on
}

// commonMeasure reports whether the best series is only the common measure of several notes, as a fifth is of the
// partials 2 and 3 of the octave below its root: its fundamental is missing, and so are nearly all partials that are
// not multiples of the two or three lowest ones. Of a single note without its fundamental those are there.
func commonMeasure(peaks []pitchPeak, best series) bool {
	weight, last := best.numbered(peaks)
	strongest := slices.Max(weight[:])
	if weight[1] > joinedFirst*strongest {
		return false
	}
	var roots []int
	others, absent := 0, 0
	for n := 2; n <= min(last, joinedTo); n++ {
		if slices.ContainsFunc(roots, func(r int) bool { return n%r == 0 }) {
			continue
		}
		present := weight[n] > joinedFirst*strongest
		if weight[n] > joinedRoot*strongest && len(roots) < 3 && n < 8 {
			roots = append(roots, n)
			continue
		}
		if len(roots) > 0 {
			others++
			if !present {
				absent++
			}
		}
	}
	return len(roots) >= 2 && others >= 2 && absent*4 >= others*3
}

// pitchConfidence weighs all that speaks for and against the pitch of a part of so many seconds.
func pitchConfidence(s pitchSpectrum, best series, track pitchTrack, several bool, seconds float64) float64 {
	fit := max(best.explained, 0) * math.Sqrt(best.present)
	c := 1 / (1 + math.Exp(-(fit-sureFit)/sureFitSpan))
	c *= min(1, track.steady/sureSteady) * min(1, s.tonality/sureTonality)
	c *= min(1, track.hz*seconds/sureCycles)
	allowed := sureDrift * max(0.4, min(1, track.hz/bassHz)) // vibrato in the bass is narrow, rumble is not
	if over := track.driftCents / allowed; over > 1 {
		c /= over * over
	}
	if len(s.peaks) == 1 && track.hz < lowLoneHz {
		c *= 0.5
	}
	if several {
		c *= 0.4
	}
	return c
}
