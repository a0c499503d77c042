package main

import (
	"fmt"
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"lapstrake/mapping"
	"lapstrake/mapping/whole"
)

// lane is one sounding zone of a chord: which bed sounds from when to when.
type lane struct {
	label string
	turns []turn
	beds  []string // names of the strands
}

// turn is the stretch in which one bed leads, in seconds of output.
type turn struct {
	fromSec, toSec float64
	strand         int
}

// chordLanes lays out the beds' turns of every sounding cycle for as long as the
// player can hold it; drawing cuts them off.
func chordLanes(m *mapping.Map, cycles []soundingCycle) []lane {
	var lanes []lane
	for i := range cycles {
		c := &cycles[i]
		lanes = append(lanes, lane{
			label: fmt.Sprintf("%s, rank %s, root %d", m.MiddleC.Name(c.Key), c.Rank, c.Root),
			turns: c.turns(m.RateHz, horizonSec),
			beds:  m.Strands,
		})
	}
	return lanes
}

// turns lists the beds' turns from the note's start to untilSec.
func (c *soundingCycle) turns(rateHz int, untilSec float64) []turn {
	perSec := float64(c.step) / mapping.OneFrame * float64(rateHz) // bed frames a second of output
	var turns []turn
	stretches := c.cycle.Stretches()
	for lap := int64(-1); ; lap++ {
		for _, stretch := range stretches {
			offset := float64(lap*c.cycle.Frames - c.head.StartFrame())
			t := turn{(float64(stretch.From) + offset) / perSec, (float64(stretch.To) + offset) / perSec, stretch.Bed}
			if t.fromSec >= untilSec {
				return turns
			}
			if t.toSec > 0 {
				t.fromSec, t.toSec = max(t.fromSec, 0), min(t.toSec, untilSec)
				turns = append(turns, t)
			}
		}
	}
}

var (
	levelInk    = color.RGBA{0x1f, 0x5f, 0x8b, 0xff}
	peakInk     = color.RGBA{0xb9, 0xc4, 0xcc, 0xff}
	strandInks  = []color.RGBA{{0x9c, 0xb8, 0xa8, 0xff}, {0xd9, 0xa4, 0x6b, 0xff}, {0x8f, 0xa6, 0xc9, 0xff}, {0xc9, 0x9a, 0xb0, 0xff}}
	picturePage = vg.Points(760)
)

// drawPicture writes a PNG: the level over time and, below, the lanes.
func drawPicture(path string, l *levels, lanes []lane) error {
	level, err := levelPlot(l)
	if err != nil {
		return err
	}
	plots := [][]*plot.Plot{{level}}
	height := vg.Points(260)
	if len(lanes) > 0 {
		laneHeight := vg.Points(16 * float64(len(lanes)))
		below, err := lanePlot(lanes, l.seconds())
		if err != nil {
			return err
		}
		plots = append(plots, []*plot.Plot{below})
		height += vg.Points(70) + laneHeight
	}
	canvas := vgimg.NewWith(vgimg.UseWH(picturePage, height), vgimg.UseDPI(110), vgimg.UseBackgroundColor(color.White))
	full := draw.New(canvas)
	if len(plots) == 1 {
		level.Draw(draw.Crop(full, vg.Points(8), -vg.Points(12), vg.Points(8), -vg.Points(8)))
	} else {
		lower := height - vg.Points(260)
		tiles := [][]draw.Canvas{{draw.Crop(full, vg.Points(8), -vg.Points(12), lower, -vg.Points(8))},
			{draw.Crop(full, vg.Points(8), -vg.Points(12), vg.Points(8), -vg.Points(260))}}
		aligned := plot.Align(plots, draw.Tiles{Rows: 2, Cols: 1}, full)
		for i, p := range plots {
			// Align gives both the same left and right edges; the heights are ours.
			tiles[i][0].Min.X, tiles[i][0].Max.X = aligned[i][0].Min.X+vg.Points(8), aligned[i][0].Max.X-vg.Points(12)
			p[0].Draw(tiles[i][0])
		}
	}
	out, err := whole.Create(path)
	if err != nil {
		return err
	}
	defer out.Discard()
	if _, err := (vgimg.PngCanvas{Canvas: canvas}).WriteTo(out); err != nil {
		return err
	}
	return out.Commit()
}

func levelPlot(l *levels) (*plot.Plot, error) {
	p := plot.New()
	p.Title.Text = "Level over time, each tenth of a second"
	p.Y.Label.Text = "dBFS"
	p.X.Label.Text = "seconds"
	p.X.Min, p.X.Max = 0, l.seconds()
	peak, err := plotter.NewLine(overTime(l.peakDB))
	if err != nil {
		return nil, err
	}
	rms, err := plotter.NewLine(overTime(l.rmsDB))
	if err != nil {
		return nil, err
	}
	peak.Color, rms.Color = peakInk, levelInk
	rms.Width = vg.Points(1.4)
	p.Add(plotter.NewGrid(), peak, rms)
	p.Legend.Add("peak", peak)
	p.Legend.Add("RMS", rms)
	p.Legend.Top = true
	loudest, _ := l.summary()
	p.Y.Max = min(0, loudest+3)
	p.Y.Min = p.Y.Max - 60
	return p, nil
}

func overTime(db []float64) plotter.XYs {
	points := make(plotter.XYs, len(db))
	for i, level := range db {
		points[i] = plotter.XY{X: (float64(i) + 0.5) / 10, Y: level}
	}
	return points
}

func lanePlot(lanes []lane, seconds float64) (*plot.Plot, error) {
	p := plot.New()
	p.Title.Text = "Which bed leads, from the middle of one crossfade to the next"
	p.X.Label.Text = "seconds"
	p.X.Min, p.X.Max = 0, seconds
	p.Y.Min, p.Y.Max = -0.7, float64(len(lanes))-0.3
	p.Y.Tick.Marker = laneTicks(lanes)
	for i, strand := range lanes[0].beds {
		p.Legend.Add("bed "+strand, swatch(strandInks[i%len(strandInks)]))
	}
	p.Legend.Top = true
	p.Legend.YOffs = vg.Points(32)
	p.Legend.Padding = vg.Points(2)
	for i, lane := range lanes {
		y := float64(len(lanes) - 1 - i)
		for _, t := range lane.turns {
			if t.fromSec >= seconds {
				break
			}
			box, err := plotter.NewPolygon(plotter.XYs{{X: t.fromSec, Y: y - 0.4}, {X: min(t.toSec, seconds), Y: y - 0.4},
				{X: min(t.toSec, seconds), Y: y + 0.4}, {X: t.fromSec, Y: y + 0.4}})
			if err != nil {
				return nil, err
			}
			box.Color = strandInks[t.strand%len(strandInks)]
			box.LineStyle = draw.LineStyle{Color: color.White, Width: vg.Points(0.6)}
			p.Add(box)
		}
	}
	return p, nil
}

type laneTicks []lane

func (l laneTicks) Ticks(_, _ float64) []plot.Tick {
	ticks := make([]plot.Tick, len(l))
	for i, lane := range l {
		ticks[i] = plot.Tick{Value: float64(len(l) - 1 - i), Label: lane.label}
	}
	return ticks
}

// swatch is a filled box in the legend.
type swatch color.RGBA

func (s swatch) Thumbnail(c *draw.Canvas) {
	c.FillPolygon(color.RGBA(s), []vg.Point{c.Min, {X: c.Max.X, Y: c.Min.Y}, c.Max, {X: c.Min.X, Y: c.Max.Y}})
}
