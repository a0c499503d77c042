// What the bands explain of the levels: a duller sound is softer on high keys.

package compare

import "math"

// besideBands finds how each moment differs beside what the bands explain: those in which the layers sound alone are
// taken for all of B.
func (r *Report) besideBands(ga, gb grid, sections []Section) {
	alone := layersAlone(sections)
	colourDB, known := make([]float64, ga.bands()), make([]float64, ga.bands())
	for _, s := range alone {
		is, was := gb.spectrum(s), ga.spectrum(s)
		loudest := was[0]
		for _, db := range was {
			loudest = max(loudest, db)
		}
		for band, db := range was {
			if db > loudest-soundingDB {
				colourDB[band], known[band] = colourDB[band]+is[band]-db-r.LevelDB, known[band]+1
			}
		}
	}
	for band := range colourDB {
		colourDB[band] /= max(known[band], 1)
	}
	r.beside = make([]float64, len(r.Moments))
	for k, m := range r.Moments {
		was, is := 0.0, 0.0
		for band, db := range colourDB {
			at := int(math.Round(m.Sec / momentSec))
			power := ga[0][at][band] + ga[1][at][band]
			was, is = was+power, is+power*math.Pow(10, db/10)
		}
		r.beside[k] = m.DiffDB - (dB(is) - dB(was))
	}
}

// unlikeEverywhere says whether the waveforms of no layer that sounds alone go with each other; of one that is not the
// same at all, those of the others may.
func unlikeEverywhere(a, b Sound, sections []Section) bool {
	const same = 0.9 // correlation
	for _, s := range layersAlone(sections) {
		from, to := int(s.FromSec*float64(a.RateHz)), int(s.ToSec*float64(a.RateHz))
		if to > len(a.Channels[0]) || from >= to {
			continue
		}
		part := func(s Sound) []float64 {
			return thin(mono(Sound{s.RateHz, [][]float32{s.Channels[0][from:to], s.Channels[1][from:to]}}), thinned)
		}
		if likeness(part(a), part(b), a.RateHz/thinned) >= same {
			return false
		}
	}
	return true
}
