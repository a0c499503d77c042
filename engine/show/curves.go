// A picture of curves over the keyboard, a controller or time.

package show

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"lapstrake/mapping"
)

// Curves draws one or a few curves over one axis, told apart by dashes and lightness as well as by hue.
type Curves struct {
	Title  string
	Across string         // what the axis counts, with its unit; Time says that itself
	Axis   Axis           // how it counts; Keys where Naming is given
	Naming mapping.Naming // how keys are named
	Up     string         // what the curves count, with its unit
	Curves []Curve
	Marks  []Mark
	Marked string   // what the marks are, for the legend; "" where their words say it
	About  []string // the limits whose findings are marked in the picture, such as seam_lu; none: all of its check

	hairline bool // the curves run too close for lines of the usual width
}

// Curve is a row of points, or of dots that no line joins. A point that is NaN breaks the line.
type Curve struct {
	Name string
	X, Y []float64
	Dots bool
}

const curvesHeight = vg.Length(190)

// Name returns the title.
func (c *Curves) Name() string { return c.Title }

// OverKeys says whether the axis counts keys.
func (c *Curves) OverKeys() bool { return c.Axis == Keys || c.Naming != "" }

func (c *Curves) sheet() (*sheet, error) {
	p, err := c.panel(curvesHeight)
	return &sheet{c.Title, []panel{p}}, err
}

func (c *Curves) panel(height vg.Length) (panel, error) {
	lowX, highX, lowY, highY := c.bounds()
	axis, across := c.Axis, c.Across
	switch {
	case c.OverKeys():
		axis = Keys
	case axis == Time:
		across = timeLabel(highX)
	}
	p := newPanel(c.Up, height, axis.ticks(c.Naming), across)
	p.plot.Y.Tick.Marker = numberTicks{}
	for i, curve := range c.Curves {
		style := lineStyle(i)
		if c.hairline {
			style.Width = vg.Points(0.6)
		}
		dot := dotStyle(i)
		if err := curve.addTo(p.plot, style, dot); err != nil {
			return p, fmt.Errorf("%s: %w", curve.Name, err)
		}
		switch {
		case curve.Name == "":
		case curve.Dots:
			p.legend = append(p.legend, legendEntry{name: curve.Name, dot: &dot})
		default:
			p.legend = append(p.legend, legendEntry{name: curve.Name, style: style})
		}
	}
	if c.Marked != "" && len(c.Marks) > 0 {
		p.legend = append(p.legend, legendEntry{name: c.Marked, style: markLine(c.Marks[0].Grave)})
	}
	p.marks = c.Marks
	p.plot.X.Min, p.plot.X.Max, p.plot.Y.Min, p.plot.Y.Max = lowX, highX, lowY, highY
	return p, nil
}

// bounds are those of all points, with some room above and below.
func (c *Curves) bounds() (lowX, highX, lowY, highY float64) {
	lowX, lowY, highX, highY = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, curve := range c.Curves {
		for i, y := range curve.Y {
			if finite(y) {
				lowX, highX = min(lowX, curve.X[i]), max(highX, curve.X[i])
				lowY, highY = min(lowY, y), max(highY, y)
			}
		}
	}
	if lowX > highX {
		return 0, 1, 0, 1
	}
	if slices.ContainsFunc(c.Curves, func(curve Curve) bool { return curve.Dots }) {
		beside := (highX - lowX) / 100 // so that no dot is cut off
		lowX, highX = lowX-beside, highX+beside
	}
	room := max((highY-lowY)*0.08, 0.05)
	return lowX, max(highX, lowX+1), lowY - room, highY + room
}

func finite(y float64) bool { return !math.IsNaN(y) && !math.IsInf(y, 0) }

// addTo adds the curve to a plot, a line for each stretch between breaks.
func (c *Curve) addTo(p *plot.Plot, style draw.LineStyle, dot draw.GlyphStyle) error {
	var stretch plotter.XYs
	flush := func() error {
		if len(stretch) == 0 {
			return nil
		}
		line, points, err := plotter.NewLinePoints(stretch)
		if err != nil {
			return err
		}
		line.LineStyle, points.GlyphStyle = style, dot
		if c.Dots {
			p.Add(points)
		} else {
			p.Add(line)
		}
		stretch = nil
		return nil
	}
	for i, y := range c.Y {
		if !finite(y) {
			if err := flush(); err != nil {
				return err
			}
			continue
		}
		stretch = append(stretch, plotter.XY{X: c.X[i], Y: y})
	}
	return flush()
}
