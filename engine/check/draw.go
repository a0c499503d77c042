// What the checks draw.

package check

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"lapstrake/engine/show"
)

// drawKeys draws loudness and brightness over the keyboard, a curve for each place of the dynamics.
func (s *subject) drawKeys() []show.Drawing {
	loud := &show.Curves{Title: "Loudness over the keyboard", Across: "key", Naming: s.m.MiddleC,
		Up: "Loudness in LUFS, headroom not taken off", About: []string{"seam_lu"}}
	bright := &show.Curves{Title: "Brightness over the keyboard", Across: "key", Naming: s.m.MiddleC,
		Up: "Centre of the spectrum in auditory bands (ERB number)", About: []string{"seam_erb"}}
	for _, value := range dynamicsValues {
		lufs := show.Curve{Name: fmt.Sprintf("dynamics %d", value)}
		erb := lufs
		for key := s.lowest; key <= s.highest; key++ {
			k := s.sound(key, value)
			lufs.X, erb.X = append(lufs.X, float64(key)), append(erb.X, float64(key))
			if k.stereo == 0 {
				lufs.Y, erb.Y = append(lufs.Y, math.NaN()), append(erb.Y, math.NaN())
				continue
			}
			lufs.Y, erb.Y = append(lufs.Y, k.lufs()), append(erb.Y, k.centroidERB())
		}
		loud.Curves, bright.Curves = append(loud.Curves, lufs), append(bright.Curves, erb)
	}
	return []show.Drawing{loud, bright}
}

// drawSweeps draws loudness and change of timbre over the dynamics: the keys in the middle of all, and their extremes.
func (s *subject) drawSweeps(sweeps []*sweep) []show.Drawing {
	draw := func(title, up string, of func(w *sweep, value int) float64) *show.Curves {
		c := &show.Curves{Title: title, Axis: show.Controller, Up: up,
			Across: fmt.Sprintf("dynamics (controller %d)", s.m.Dynamics.Controller)}
		names := []string{"median of the keys", "highest", "lowest"}
		for n, name := range names {
			curve := show.Curve{Name: name}
			for value := range 128 {
				var all []float64
				for _, w := range sweeps {
					all = append(all, of(w, value))
				}
				low, high := extremes(all)
				curve.X = append(curve.X, float64(value))
				curve.Y = append(curve.Y, []float64{median(all), high, low}[n])
			}
			c.Curves = append(c.Curves, curve)
		}
		return c
	}
	return []show.Drawing{
		draw("Loudness over the dynamics", "Loudness in LU above the softest", func(w *sweep, value int) float64 {
			return w.lufs[value] - w.lufs[0]
		}),
		draw("Timbre over the dynamics", "Distance in dB from the sound at 0", func(w *sweep, value int) float64 {
			return w.timbre[value]
		}),
	}
}

func extremes(values []float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		low, high = min(low, v), max(high, v)
	}
	return low, high
}

// drawTuning draws what lies off each key's harmonics, a curve for each place of the dynamics.
func (s *subject) drawTuning(shares map[int][]float64) []show.Drawing {
	c := &show.Curves{Title: "Off the key's harmonics, over the keyboard", Across: "key", Naming: s.m.MiddleC,
		Up: "% of the strong tones over 50 cents from a harmonic"}
	for _, value := range dynamicsValues {
		curve := show.Curve{Name: fmt.Sprintf("dynamics %d", value), Y: shares[value]}
		for key := s.lowest; key <= s.highest; key++ {
			curve.X = append(curve.X, float64(key))
		}
		c.Curves = append(c.Curves, curve)
	}
	return []show.Drawing{c}
}

// mostMarked is how many findings a drawing marks: the worst.
const mostMarked = 20

// markDrawings marks the findings of the part in its drawings over the keyboard, by their numbers in the report.
func (p *PartReport) markDrawings() {
	for _, drawing := range p.Drawings {
		c, ok := drawing.(*show.Curves)
		if !ok || !c.OverKeys() {
			continue
		}
		c.Marked = "finding, by its number in the report"
		for i, f := range p.Findings {
			x, ok := f.Place.alongKeys()
			if ok && f.Waived == "" && len(c.Marks) < mostMarked && (len(c.About) == 0 || slices.Contains(c.About, f.What)) {
				c.Marks = append(c.Marks, show.Mark{X: x, Text: strconv.Itoa(i + 1), Grave: f.Verdict == Fails})
			}
		}
	}
}

// alongKeys is where on the keyboard the place is: on its worst key, or between the two keys of a seam. A chord has no
// such place.
func (p Place) alongKeys() (at float64, ok bool) {
	switch {
	case p.gathers && len(p.Keys) > 0, len(p.Keys) == 1:
		return float64(p.Keys[0]), true
	case len(p.Keys) == 2 && p.Chord == "":
		return float64(p.Keys[0]+p.Keys[1]) / 2, true
	}
	return 0, false
}

// evolutionCurve is how far a chord's timbre is from what it was 5 s before.
type evolutionCurve struct {
	name      string
	changesDB []float64
}

// drawEvolution draws how much held chords change.
func drawEvolution(of []evolutionCurve) []show.Drawing {
	c := &show.Curves{Title: "Change of timbre while a chord is held", Axis: show.Time, Up: "Distance in dB from 5 s before"}
	for _, one := range of {
		curve := show.Curve{Name: one.name}
		for k, db := range one.changesDB {
			curve.X, curve.Y = append(curve.X, float64(k+changeSec)), append(curve.Y, db)
		}
		c.Curves = append(c.Curves, curve)
	}
	return []show.Drawing{c}
}
