// What goes wrong with layers: they do not move, they are exchanged, one is off.

package compare

import "math"

// layersAlone are the sections in which one layer sounds alone.
func layersAlone(sections []Section) (alone []*Section) {
	for i := range sections {
		if sections[i].Try == TryLayer {
			alone = append(alone, &sections[i])
		}
	}
	return alone
}

// judgeMoves finds layers that do not move as the controller does.
func (r *Report) judgeMoves(ga, gb grid, sections []Section) {
	if alone := layersAlone(sections); len(alone) > 1 && !r.has(Missing, NoLayer, LoopOff) {
		first, last := alone[0], alone[len(alone)-1]
		softA, loudA, softB, loudB := ga.spectrum(first), ga.spectrum(last), gb.spectrum(first), gb.spectrum(last)
		apart, moved := distance(softA, loudA), distance(softB, loudB)
		right := distance(softA, softB) + distance(loudA, loudB)
		crossed := distance(softA, loudB) + distance(loudA, softB)
		const little = 0.4 // of what is expected
		switch {
		case apart > nearMoment && moved < little*apart && moved < nearMoment:
			r.add(Curve, 0, "from layer %s to layer %s nothing changes: it does not follow the dynamics controller",
				first.Layer, last.Layer)
		case apart > nearMoment && crossed < little*right:
			r.add(Exchanged, 0, "the layers %s and %s are exchanged, or the controller moves the other way",
				first.Layer, last.Layer)
		}
	}
}

// judgeLevels finds a layer of another level.
func (r *Report) judgeLevels(sections []Section) {
	for _, s := range layersAlone(sections) {
		if r.has(Curve, Exchanged) {
			return
		}
		if _, mean := r.strays(s); math.Abs(mean) > nearMoment {
			r.add(Curve, mean, "where the layer %s sounds alone, it is %+.1f dB off: its level or its place on the "+
				"controller is another", s.Layer, mean)
		}
	}
}

// spectrum is the mean level of each third octave in a section.
func (g grid) spectrum(s *Section) []float64 {
	levels := make([]float64, g.bands())
	from, to := int(math.Ceil(s.FromSec/momentSec)), int(s.ToSec/momentSec)
	for band := range levels {
		sum := 0.0
		for m := max(from, 0); m < min(to, g.moments()); m++ {
			sum += g[0][m][band] + g[1][m][band]
		}
		levels[band] = max(dB(sum/float64(max(to-from, 1))), -90)
	}
	return levels
}

// distance is the root mean square of the differences of levels.
func distance(x, y []float64) float64 {
	sum := 0.0
	for k := range x {
		sum += (x[k] - y[k]) * (x[k] - y[k])
	}
	return math.Sqrt(sum / float64(len(x)))
}
