// What the checks draw.

package check

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"lapstrake/engine/show"
)

// drawKeys draws loudness, brightness and width over the keyboard, a curve for each place of the dynamics.
func (s *subject) drawKeys() (all []show.Drawing) {
	for _, what := range []struct {
		title, up, about string
		of               func(k *keySound) float64
	}{
		{"Loudness over the keyboard", "Loudness in LUFS, headroom not taken off", "seam_lu", (*keySound).lufs},
		{"Brightness over the keyboard", "Centre of the spectrum in auditory bands (ERB number)", "seam_erb",
			(*keySound).centroidERB},
		{"Width over the keyboard", "Width in degrees; 0: mono, 45: unrelated sides", "seam_width_deg",
			(*keySound).widthDeg},
	} {
		c := &show.Curves{Title: what.title, Across: "key", Naming: s.m.MiddleC, Up: what.up,
			About: []string{what.about}}
		for _, value := range dynamicsValues {
			curve := show.Curve{Name: fmt.Sprintf("dynamics %d", value)}
			for key := s.lowest; key <= s.highest; key++ {
				y := math.NaN() // a key that does not sound breaks the line
				if k := s.sound(key, value); k.stereo > 0 {
					y = what.of(k)
				}
				curve.X, curve.Y = append(curve.X, float64(key)), append(curve.Y, y)
			}
			c.Curves = append(c.Curves, curve)
		}
		all = append(all, c)
	}
	return all
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
			if ok && f.Waived == "" && len(c.Marks) < mostMarked &&
				(len(c.About) == 0 || slices.Contains(c.About, f.What)) {
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
	c := &show.Curves{Title: "Change of timbre while a chord is held", Axis: show.Time,
		Up: "Distance in dB from 5 s before"}
	for _, one := range of {
		curve := show.Curve{Name: one.name}
		for k, db := range one.changesDB {
			curve.X, curve.Y = append(curve.X, float64(k+changeSec)), append(curve.Y, db)
		}
		c.Curves = append(c.Curves, curve)
	}
	return []show.Drawing{c}
}
