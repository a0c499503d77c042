// Sections: what a score tries out, and when.

package compare

import "math"

// Section is a stretch of a score that tries one thing.
type Section struct {
	Name    string  `json:"name"`
	Try     Try     `json:"try"`
	Layer   string  `json:"layer,omitempty"` // that sounds alone
	FromSec float64 `json:"from_s"`
	ToSec   float64 `json:"to_s"`
}

// Try is what a section is for.
type Try string

// What a section tries.
const (
	TryLayer   Try = "layer"   // one layer alone, which Layer names
	TryFade    Try = "fade"    // the fade between the layers
	TrySteady  Try = "steady"  // the layers where the controller stands in the beginning
	TryVolume  Try = "volume"  // the volume controllers
	TryBend    Try = "bend"    // the pitch wheel, turned
	TryRelease Try = "release" // released notes fall
	TryLoop    Try = "loop"    // a note is held for longer than its file
	TryKeys    Try = "keys"    // keys on both sides of seams
)

func sectionAt(sections []Section, sec float64) *Section {
	for i := range sections {
		if sections[i].FromSec-momentSec <= sec && sec < sections[i].ToSec {
			return &sections[i]
		}
	}
	return nil
}

// strays is how far the level strays most in a section, for two moments at least, and how far on average.
func (r *Report) strays(s *Section) (most, mean float64) {
	return r.straysOf(s, func(k int) float64 { return r.Moments[k].DiffDB })
}

// straysBeside is the same beside what the bands explain.
func (r *Report) straysBeside(s *Section) (most, mean float64) {
	return r.straysOf(s, func(k int) float64 { return r.beside[k] })
}

func (r *Report) straysOf(s *Section, diffDB func(moment int) float64) (most, mean float64) {
	count, last := 0.0, 0.0
	for k, m := range r.Moments {
		if m.Sec < s.FromSec || m.Sec+momentSec > s.ToSec {
			continue
		}
		db := diffDB(k)
		both := math.Copysign(min(math.Abs(db), math.Abs(last)), db)
		if count > 0 && math.Abs(both) > math.Abs(most) {
			most = both
		}
		mean, last, count = mean+db, db, count+1
	}
	return most, mean / max(count, 1)
}

// layerLevel is the level where one layer sounds alone: of several layers, that of the one that is least off.
func (r *Report) layerLevel(sections []Section) (level float64, found bool) {
	for i := range sections {
		if s := &sections[i]; s.Try == TryLayer {
			if _, mean := r.strays(s); !found || math.Abs(mean) < math.Abs(level) {
				level, found = mean, true
			}
		}
	}
	return level, found
}

// judgeSections finds what the sections tell.
func (r *Report) judgeSections(a, b Sound, sections []Section) {
	const otherTones = 50 // cents: its partials lie in other bands, which other levels go with
	if r.has(Missing, NoLayer, LoopOff, Starts, Exchanged) ||
		r.TuneCents != nil && math.Abs(*r.TuneCents) > otherTones {
		return
	}
	r.judgeLevels(sections)
	steady := 0.0
	for i := range sections {
		s := &sections[i]
		most, mean := r.strays(s)
		switch s.Try {
		case TryFade:
			if (math.Abs(most) > nearMoment || math.Abs(mean) > nearDB) && !r.has(Curve) {
				r.add(Curve, most, "between the layers its level strays by %+.1f dB: the fade follows another "+
					"curve", most)
			}
		case TrySteady:
			steady = mean
			if math.Abs(mean) > nearDB && !r.has(Curve) {
				r.add(Curve, mean, "where the dynamics stand in the beginning, it is %+.1f dB off: the fade "+
					"follows another curve", mean)
			}
		case TryVolume:
			limit := nearMoment
			if r.has(Curve) {
				limit *= 2 // what sounds is not the same either
			}
			if off := mean - steady; math.Abs(off) > limit && !r.has(Volume) {
				r.add(Volume, off, "with the volume turned down it is %+.1f dB off: the volume follows another "+
					"law, or another controller", off)
			}
		case TryRelease:
			if off := most - steady; math.Abs(off) > nearRelease && !r.has(Release) {
				r.add(Release, off, "released notes stray by %+.1f dB: the release is another", off)
			}
		case TryBend:
			r.judgeBend(a, b, s)
		case TryKeys:
			if most, _ := r.straysBeside(s); math.Abs(most) > nearMoment && !r.has(Curve, Volume, Release) {
				zone := choose(most < missingZoneDB, ", or a zone is missing", "")
				r.add(Keys, most, "on keys at the ends of zones its level strays by %+.1f dB: levels by key "+
					"(gain_db), keys or attack are others%s", most, zone)
			}
		case TryLoop:
			r.judgeLoop(s)
		}
	}
}

// judgeLoop finds a level that strays while a note is held beyond the end of its file: from its beginning on, that is
// the key's; later, the loop's.
func (r *Report) judgeLoop(s *Section) {
	const beginningSec = 2
	if r.has(Curve, Volume, Keys) {
		return
	}
	beginning := *s
	beginning.ToSec = min(s.FromSec+beginningSec, s.ToSec)
	if _, mean := r.straysBeside(&beginning); math.Abs(mean) > nearMoment {
		r.add(Keys, mean, "the key that is held from %.1f s on is %+.1f dB off from its beginning: levels by key "+
			"(gain_db) are others", s.FromSec, mean)
		return
	}
	if most, _ := r.straysBeside(s); math.Abs(most) > nearMoment {
		r.add(LoopOff, most, "while a note is held beyond the end of its file, its level strays by %+.1f dB: the "+
			"loop begins or ends elsewhere", most)
	}
}

func (r *Report) judgeBend(a, b Sound, s *Section) {
	from, to := int(s.FromSec*float64(a.RateHz)), int(s.ToSec*float64(a.RateHz))
	if to > len(a.Channels[0]) || to-from < a.RateHz || r.TuneCents == nil {
		return
	}
	part := func(s Sound) Sound {
		return Sound{s.RateHz, [][]float32{s.Channels[0][from:to], s.Channels[1][from:to]}}
	}
	cents, known := tuning(part(a), part(b))
	if off := cents - *r.TuneCents; known && math.Abs(off) > nearBend {
		r.add(Bend, off, "with the wheel turned it is %+.0f cents off: the range of the wheel is another", off)
	}
}
