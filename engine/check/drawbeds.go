// Drawings of what lies in the beds, over the keyboard.

package check

import (
	"math"

	"lapstrake/engine/show"
)

// drawStarts draws where in their cycles the keys begin, dots for each rank. By press, the first press counts.
func (s *subject) drawStarts() show.Drawing {
	c := &show.Curves{Title: "Where each key begins", Across: "key", Naming: s.m.MiddleC,
		Up: "Start in turns of the cycle"}
	if len(s.m.Ranks()) == 2 {
		c.Up += "; a dot in a ring: both ranks begin at one place"
	}
	for _, rank := range s.m.Ranks() {
		dots := show.Curve{Name: "rank " + rank, Dots: true}
		for key := s.lowest; key <= s.highest; key++ {
			for _, zone := range s.m.ZonesAt(key) {
				if z := &s.m.Zones[zone]; z.Rank == rank {
					dots.X, dots.Y = append(dots.X, float64(key)), append(dots.Y, s.m.Start(z, key, 0))
				}
			}
		}
		c.Curves = append(c.Curves, dots)
	}
	return c
}

// drawCycles draws the loudness of each cycle at its root, dots for each layer.
func (s *subject) drawCycles() show.Drawing {
	c := &show.Curves{Title: "Loudness of the beds", Across: "root", Naming: s.m.MiddleC, About: []string{"bed_lu"},
		Up: "Loudness of a zone's beds in LUFS"}
	for layer, name := range s.m.Layers {
		dots := show.Curve{Name: name, Dots: true}
		for zone := range s.m.Zones {
			dots.X, dots.Y = append(dots.X, float64(s.m.Zones[zone].Root)), append(dots.Y, s.cycleLUFS(zone, layer))
		}
		c.Curves = append(c.Curves, dots)
	}
	return c
}

// drawMono draws what each key loses in mono. Keys that do not sound break the line.
func (s *subject) drawMono(sounds []*keySound) show.Drawing {
	curve := show.Curve{}
	for key := s.lowest; key <= s.highest; key++ {
		lost := math.NaN()
		if sounds[key].stereo > 0 {
			lost = sounds[key].monoLossDB()
		}
		curve.X, curve.Y = append(curve.X, float64(key)), append(curve.Y, lost)
	}
	return &show.Curves{Title: "Lost in mono", Across: "key", Naming: s.m.MiddleC,
		Up: "Level in dB that mono takes off", Curves: []show.Curve{curve}, About: []string{"mono_loss_db"}}
}

// drawJoins draws the level at each join against that beside it, dots for each layer.
func (s *subject) drawJoins(courses [][]float64) show.Drawing {
	c := &show.Curves{Title: "Level at the joins", Across: "root", Naming: s.m.MiddleC, About: []string{"join_db"},
		Up: "Level in the middle of a crossfade in dB, against that beside it"}
	layers := len(s.m.Layers)
	for layer, name := range s.m.Layers {
		dots := show.Curve{Name: name, Dots: true}
		for zone := range s.m.Zones {
			cycle := s.cycle(zone, layer)
			for _, stretch := range cycle.Stretches() {
				stepDB, _ := joinStep(courses[zone*layers+layer], cycle, stretch.To, s.m.OverlapSec)
				dots.X, dots.Y = append(dots.X, float64(s.m.Zones[zone].Root)), append(dots.Y, stepDB)
			}
		}
		c.Curves = append(c.Curves, dots)
	}
	return c
}
