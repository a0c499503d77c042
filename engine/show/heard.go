// Who is heard in a sound, over time: a row for each, in the order in which they come forward.

package show

import (
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// HeardOne is somebody who stands out at a moment.
type HeardOne struct {
	Name   string
	Strand int     // of the bed that has the sound: index into the map's strands
	Sones  float64 // how loud that is within all the others
}

// Heard keeps who stands out of a sound, moment by moment. Its zero value knows of no moment.
type Heard struct {
	StepSec float64 // from one moment to the next

	moments int
	rows    []heardRow // in the order in which they were first heard
}

type heardRow struct {
	name    string
	moments map[int]HeardOne
}

// Add notes the next moment: all who stand out, the loudest first. Of a name that is there more than once, the first
// counts.
func (h *Heard) Add(all []HeardOne) {
	for _, one := range all {
		at := slices.IndexFunc(h.rows, func(r heardRow) bool { return r.name == one.Name })
		if at < 0 {
			at = len(h.rows)
			h.rows = append(h.rows, heardRow{one.Name, map[int]HeardOne{}})
		}
		if _, there := h.rows[at].moments[h.moments]; !there {
			h.rows[at].moments[h.moments] = one
		}
	}
	h.moments++
}

const (
	heardHeight = vg.Length(11) // of a row
	heardThin   = vg.Length(1.4)
	heardThick  = vg.Length(8.5)
	heardSones  = 8 // drawn as thick as it goes
)

// panel draws the rows downwards.
func (h *Heard) panel(seconds float64) panel {
	const heading = "Who is heard in the chord, in the colour of the bed that has it: the thicker, the louder"
	p := newPanel(heading, vg.Length(len(h.rows))*heardHeight, timeTicks{}, timeLabel(seconds))
	ticks := make([]plot.Tick, len(h.rows))
	for i, row := range h.rows {
		ticks[i] = plot.Tick{Value: -float64(i), Label: row.name}
	}
	p.plot.Add(heardStrips{h})
	p.plot.X.Min, p.plot.X.Max = 0, seconds
	p.plot.Y.Min, p.plot.Y.Max = 0.5-float64(len(h.rows)), 0.5
	p.plot.Y.Tick.Marker = plot.ConstantTicks(ticks)
	return p
}

// heardStrips draws the rows. It serves as a plot.Plotter.
type heardStrips struct{ *Heard }

func (h heardStrips) Plot(canvas draw.Canvas, p *plot.Plot) {
	toX, toY := p.Transforms(&canvas)
	for i, row := range h.rows {
		y := toY(-float64(i))
		for k := 0; k < h.moments; {
			from, strand := k, row.moments[k].Strand
			var above, below []vg.Point
			for ; row.moments[k].Sones > 0 && row.moments[k].Strand == strand; k++ {
				share := math.Sqrt(min(row.moments[k].Sones/heardSones, 1))
				half := (heardThin + (heardThick-heardThin)*vg.Length(share)) / 2
				left, right := toX(float64(k)*h.StepSec), min(toX(float64(k+1)*h.StepSec), canvas.Max.X)
				above = append(above, vg.Point{X: left, Y: y + half}, vg.Point{X: right, Y: y + half})
				below = append(below, vg.Point{X: left, Y: y - half}, vg.Point{X: right, Y: y - half})
			}
			if k == from {
				k++
				continue
			}
			slices.Reverse(below)
			canvas.FillPolygon(lineStyle(strand).Color, append(above, below...))
		}
	}
}
