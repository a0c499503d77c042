// How far the timbres of a cycle's moments lie apart: within its beds, and from one bed to the other.

package check

import (
	"context"

	"lapstrake/engine/show"
	"lapstrake/engine/stream"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/work"
)

// bedDistance is that of one cycle: medians over all pairs of its seconds, crossfades left out.
type bedDistance struct {
	WithinDB float64 // both seconds are of one bed
	ApartDB  float64 // they are of two beds, which are the strands of a layer; 0 where there is one
}

// tellDistances measures all cycles of the map, tells the medians of each layer and draws each cycle.
func (s *subject) tellDistances(ctx context.Context, said *PartReport) error {
	layers := len(s.m.Layers)
	all := make([]bedDistance, len(s.m.Zones)*layers)
	err := work.Each(ctx, len(all), func(_ context.Context, i int) (err error) {
		all[i], err = cached(s.cache, "distances within "+s.cycleKey(i/layers, i%layers), func() (bedDistance, error) {
			return measureDistance(s.cycle(i/layers, i%layers), s.m.OverlapSec)
		})
		return err
	})
	if err != nil {
		return err
	}
	drawing := &show.Curves{Title: "Distance of timbre within and between beds", Across: "root", Naming: s.m.MiddleC,
		Up: "Median distance of two seconds in dB", About: []string{""}} // no limit is about it
	for layer, name := range s.m.Layers {
		within := show.Curve{Name: name + ", in a bed", Dots: true}
		apart := show.Curve{Name: name + ", from strand to strand", Dots: true}
		for zone, z := range s.m.Zones {
			d := all[zone*layers+layer]
			within.X, within.Y = append(within.X, float64(z.Root)), append(within.Y, d.WithinDB)
			apart.X, apart.Y = append(apart.X, float64(z.Root)), append(apart.Y, d.ApartDB)
		}
		said.tell(name+" beds: distance of timbre within a bed, median", median(within.Y), "dB", moreIsBetter)
		said.tell(name+" beds: distance of timbre from strand to strand, median", median(apart.Y), "dB", neither)
		drawing.Curves = append(drawing.Curves, within, apart)
	}
	said.Drawings = append(said.Drawings, drawing)
	return nil
}

// measureDistance reads one turn of a cycle.
func measureDistance(c *stream.Cycle, overlapSec float64) (d bedDistance, err error) {
	stretches := c.Stretches()
	frames := make([]float32, 2*c.Frames)
	if err := c.ReadFrames(frames, stretches[0].From); err != nil {
		return d, err
	}
	self := hearing.NewTimbre(frames, c.RateHz).SelfDistance()
	// bed of each second; −1 where a crossfade is in it
	beds := make([]int, self.Seconds())
	for second := range beds {
		beds[second] = -1
		for _, stretch := range stretches {
			from := float64(stretch.From-stretches[0].From)/float64(c.RateHz) + overlapSec/2
			to := float64(stretch.To-stretches[0].From)/float64(c.RateHz) - overlapSec/2
			if float64(second) >= from && float64(second+1) <= to {
				beds[second] = stretch.Bed
			}
		}
	}
	var within, apart []float64
	for a := range beds {
		for b := range a {
			switch {
			case beds[a] < 0 || beds[b] < 0:
			case beds[a] == beds[b]:
				within = append(within, self.DistanceDB(a, b))
			default:
				apart = append(apart, self.DistanceDB(a, b))
			}
		}
	}
	return bedDistance{median(within), median(apart)}, nil
}
