// What the checks draw.

package check

import (
	"fmt"
	"math"

	"lapstrake/engine/show"
)

// drawKeys draws loudness and brightness over the keyboard, a curve for each place of the dynamics.
func (s *subject) drawKeys() []*show.Curves {
	loud := &show.Curves{Title: "Loudness over the keyboard", Across: "key", Naming: s.m.MiddleC,
		Up: "loudness in LUFS, headroom not taken off"}
	bright := &show.Curves{Title: "Brightness over the keyboard", Across: "key", Naming: s.m.MiddleC,
		Up: "centre of the spectrum in auditory bands (ERB number)"}
	for _, value := range dynamicsValues {
		lufs := show.Curve{Name: fmt.Sprintf("dynamics %d", value)}
		erb := lufs
		for key := s.lowest; key <= s.highest; key++ {
			k := s.sound(key, value, nil)
			lufs.X, erb.X = append(lufs.X, float64(key)), append(erb.X, float64(key))
			if k.stereo == 0 {
				lufs.Y, erb.Y = append(lufs.Y, math.NaN()), append(erb.Y, math.NaN())
				continue
			}
			lufs.Y, erb.Y = append(lufs.Y, k.lufs()), append(erb.Y, k.centroidERB())
		}
		loud.Curves, bright.Curves = append(loud.Curves, lufs), append(bright.Curves, erb)
	}
	return []*show.Curves{loud, bright}
}

// drawSweeps draws loudness and change of timbre over the dynamics: the keys in the middle of all, and their extremes.
func (s *subject) drawSweeps(sweeps []*sweep) []*show.Curves {
	draw := func(title, up string, of func(w *sweep, value int) float64) *show.Curves {
		c := &show.Curves{Title: title, Across: fmt.Sprintf("dynamics (controller %d)", s.m.Dynamics.Controller), Up: up}
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
	return []*show.Curves{
		draw("Loudness over the dynamics", "LU above the softest", func(w *sweep, value int) float64 {
			return w.lufs[value] - w.lufs[0]
		}),
		draw("Timbre over the dynamics", "distance in dB from the sound at 0", func(w *sweep, value int) float64 {
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
func (s *subject) drawTuning(shares map[int][]float64) []*show.Curves {
	c := &show.Curves{Title: "Off the key's harmonics, over the keyboard", Across: "key", Naming: s.m.MiddleC,
		Up: "% of the strong tones over 50 cents from a harmonic"}
	for _, value := range dynamicsValues {
		curve := show.Curve{Name: fmt.Sprintf("dynamics %d", value), Y: shares[value]}
		for key := s.lowest; key <= s.highest; key++ {
			curve.X = append(curve.X, float64(key))
		}
		c.Curves = append(c.Curves, curve)
	}
	return []*show.Curves{c}
}

// drawnReturnSec is how far ahead the course of a chord is drawn.
const drawnReturnSec = 600

// drawCourse draws how far the farthest cycle of a chord is from where it began. Where that is near 0, the chord is
// back.
func drawCourse(chord *show.Chord) *show.Curves {
	course := show.Curve{}
	const stepSec = 0.5
	for sec := 0.0; sec <= drawnReturnSec; sec += stepSec {
		farthest := 0.0
		for _, cycle := range chord.Cycles {
			turns := sec / cycle.CycleSec
			farthest = max(farthest, math.Abs(turns-math.Round(turns)))
		}
		course.X, course.Y = append(course.X, sec), append(course.Y, farthest)
	}
	return &show.Curves{Title: "How far the chord is from its beginning", Across: "seconds after the chord's start",
		Up: "turns that the farthest cycle is away from where it began; 0 is a return", Curves: []show.Curve{course}}
}

// evolutionCurve is how far a chord's timbre is from what it was 5 s before.
type evolutionCurve struct {
	name      string
	changesDB []float64
}

// drawEvolution draws how much held chords change.
func drawEvolution(of []evolutionCurve) []*show.Curves {
	c := &show.Curves{Title: "Change of timbre", Across: "seconds held", Up: "dB from 5 s before"}
	for _, one := range of {
		curve := show.Curve{Name: one.name}
		for k, db := range one.changesDB {
			curve.X, curve.Y = append(curve.X, float64(k+changeSec)), append(curve.Y, db)
		}
		c.Curves = append(c.Curves, curve)
	}
	return []*show.Curves{c}
}
