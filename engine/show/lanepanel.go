// The plot of which bed leads when.

package show

import (
	"fmt"
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"lapstrake/mapping"
)

// betweenKeys is the room between the lanes of two keys, in lanes.
const betweenKeys = 0.4

// laneBand is half the thickness of a lane's boxes, in lanes.
const laneBand = 0.41

func lanePanel(chord *Chord, seconds float64) (panel, error) {
	lanes := chord.Lanes(seconds)
	ticks := laneTicks(lanes, chord.m.MiddleC)
	lowest := ticks[len(ticks)-1].Value - 0.6
	p := newPanel("Which bed leads, from the middle of one crossfade to the middle of the next",
		vg.Length(0.6-lowest)*laneHeight, seconds)
	p.plot.Add(grid{})
	for i, lane := range lanes {
		for _, lead := range lane.Leads {
			box, err := leadBox(lead, ticks[i].Value)
			if err != nil {
				return p, err
			}
			p.plot.Add(box)
		}
	}
	p.plot.X.Min, p.plot.X.Max = 0, seconds
	p.plot.Y.Min, p.plot.Y.Max = lowest, 0.6
	p.plot.Y.Tick.Marker = plot.ConstantTicks(ticks)
	for i := range chord.m.Strands {
		p.legend = append(p.legend, legendEntry{legendTitle(chord.m, i), strandInk(i), 10, nil})
	}
	return p, nil
}

// legendTitle is what a strand is called in a legend: its title, cut to what there is room for.
func legendTitle(m *mapping.Map, strand int) string {
	const mostLetters = 24
	title := []rune(m.StrandTitle(strand))
	switch {
	case string(title) == m.Strands[strand]:
		return "bed " + string(title)
	case len(title) > mostLetters:
		return string(title[:mostLetters-1]) + "…"
	}
	return string(title)
}

// laneTicks gives each lane its label and its place, downwards from 0 with room between two presses.
func laneTicks(lanes []Lane, naming mapping.Naming) []plot.Tick {
	ticks := make([]plot.Tick, len(lanes))
	place := 0.0
	for i, lane := range lanes {
		if i > 0 {
			place--
			if lane.Cycle.Key != lanes[i-1].Cycle.Key {
				place -= betweenKeys
			}
		}
		ticks[i] = plot.Tick{Value: place, Label: laneText(&lane.Cycle, naming)}
	}
	return ticks
}

func laneText(c *SoundingCycle, naming mapping.Naming) string {
	text := fmt.Sprintf("%s from root %s, rank %s", naming.Name(c.Key), naming.Name(c.Root), c.Rank)
	if c.Layer != "" {
		text += ", " + c.Layer
	}
	return text
}

func leadBox(lead Lead, place float64) (*plotter.Polygon, error) {
	low, high := place-laneBand, place+laneBand
	box, err := plotter.NewPolygon(plotter.XYs{{X: lead.FromSec, Y: low}, {X: lead.ToSec, Y: low},
		{X: lead.ToSec, Y: high}, {X: lead.FromSec, Y: high}})
	if err != nil {
		return nil, err
	}
	box.Color = strandInk(lead.Strand)
	box.LineStyle = draw.LineStyle{Color: color.White, Width: vg.Points(0.8)}
	return box, nil
}
