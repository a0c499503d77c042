// A picture of curves over the keyboard or over a controller.

package show

import (
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"lapstrake/mapping"
)

// Curves draws one or a few curves over one axis, told apart by dashes and lightness as well as by hue.
type Curves struct {
	Title  string
	Across string         // what the axis counts, with its unit
	Naming mapping.Naming // where it is not "", the axis counts MIDI keys and shows their names
	Up     string         // what the curves count, with its unit
	Curves []Curve
	Marks  []Mark
}

// Curve is a row of points, or of dots that no line joins. A point that is NaN breaks the line.
type Curve struct {
	Name string
	X, Y []float64
	Dots bool
}

// Mark is a place on the axis that wants a look, such as a finding: a line up through the plot.
type Mark struct {
	X    float64
	Text string
}

const curvesHeight = vg.Length(200)

// curveStyles follow one another: a fifth curve begins again.
var curveStyles = []struct {
	ink    color.RGBA
	dashes []vg.Length
}{
	{color.RGBA{0x1d, 0x55, 0x66, 0xff}, nil},
	{color.RGBA{0xb0, 0x6a, 0x1f, 0xff}, []vg.Length{6, 3}},
	{color.RGBA{0x7f, 0x9b, 0x95, 0xff}, []vg.Length{1.5, 2.5}},
	{color.RGBA{0x3f, 0x1f, 0x31, 0xff}, []vg.Length{9, 3, 1.5, 3}},
}

var markInk = color.RGBA{0xa3, 0x2e, 0x2e, 0xff}

// WritePNG draws the picture as a PNG, 1161 pixels across.
func (c *Curves) WritePNG(w io.Writer) error {
	panel, err := c.panel()
	if err != nil {
		return err
	}
	size, dots := vgimg.UseWH(pageWidth, c.height(panel)), vgimg.UseDPI(dotsPerInch)
	canvas := vgimg.NewWith(size, dots, vgimg.UseBackgroundColor(color.White))
	c.drawOn(draw.New(canvas), panel)
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	return encoder.Encode(w, paletted(canvas.Image()))
}

// WriteSVG draws the picture as an SVG whose text stays text.
func (c *Curves) WriteSVG(w io.Writer) error {
	panel, err := c.panel()
	if err != nil {
		return err
	}
	canvas := vgsvg.NewWith(vgsvg.UseWH(pageWidth, c.height(panel)))
	c.drawOn(draw.New(canvas), panel)
	_, err = canvas.WriteTo(w)
	return err
}

func (c *Curves) height(p panel) vg.Length {
	return pageMargin + titleHeight + headHeight + p.height + panelGap
}

func (c *Curves) drawOn(page draw.Canvas, p panel) {
	top := c.height(p) - pageMargin
	left := widestLabels([]panel{p}, page)
	page.FillText(titleStyle(), vg.Point{X: left, Y: top}, c.Title)
	p.draw(page, left, top-titleHeight)
}

func (c *Curves) panel() (panel, error) {
	p := newPanel(c.Up, curvesHeight, 1)
	p.height += axisHeight
	p.plot.X.Label.Text = c.Across
	lowX, highX, lowY, highY := c.bounds()
	p.plot.X.Tick.Marker, p.plot.Y.Tick.Marker = numberTicks{}, numberTicks{}
	if c.Naming != "" {
		p.plot.X.Tick.Marker = keyTicks{c.Naming}
	}
	lines := plotter.NewGrid()
	lines.Vertical.Color, lines.Horizontal.Color = gridInk, gridInk
	p.plot.Add(lines)
	for i, curve := range c.Curves {
		style := curveStyles[i%len(curveStyles)]
		if err := curve.addTo(p.plot, style.ink, style.dashes); err != nil {
			return p, fmt.Errorf("%s: %w", curve.Name, err)
		}
		if curve.Name != "" {
			p.legend = append(p.legend, legendEntry{curve.Name, style.ink, 2, style.dashes})
		}
	}
	for _, mark := range c.Marks {
		line, err := plotter.NewLine(plotter.XYs{{X: mark.X, Y: lowY}, {X: mark.X, Y: highY}})
		if err != nil {
			return p, err
		}
		line.Color, line.Width, line.Dashes = markInk, vg.Points(0.8), []vg.Length{3, 3}
		p.plot.Add(line)
	}
	p.plot.X.Min, p.plot.X.Max, p.plot.Y.Min, p.plot.Y.Max = lowX, highX, lowY, highY
	return p, nil
}

// bounds are those of all points, with some room above and below.
func (c *Curves) bounds() (lowX, highX, lowY, highY float64) {
	lowX, lowY, highX, highY = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, curve := range c.Curves {
		for i, y := range curve.Y {
			if !math.IsNaN(y) && !math.IsInf(y, 0) {
				lowX, highX = min(lowX, curve.X[i]), max(highX, curve.X[i])
				lowY, highY = min(lowY, y), max(highY, y)
			}
		}
	}
	if lowX > highX {
		return 0, 1, 0, 1
	}
	room := max((highY-lowY)*0.08, 0.05)
	return lowX, max(highX, lowX+1), lowY - room, highY + room
}

// addTo adds the curve to a plot, a line for each stretch between breaks.
func (c *Curve) addTo(p *plot.Plot, ink color.Color, dashes []vg.Length) error {
	var stretch plotter.XYs
	flush := func() error {
		if len(stretch) == 0 {
			return nil
		}
		line, points, err := plotter.NewLinePoints(stretch)
		if err != nil {
			return err
		}
		line.Color, line.Width, line.Dashes = ink, vg.Points(1.6), dashes
		points.Color, points.Shape, points.Radius = ink, draw.CircleGlyph{}, vg.Points(2)
		if c.Dots {
			p.Add(points)
		} else {
			p.Add(line)
		}
		stretch = nil
		return nil
	}
	for i, y := range c.Y {
		if math.IsNaN(y) || math.IsInf(y, 0) {
			if err := flush(); err != nil {
				return err
			}
			continue
		}
		stretch = append(stretch, plotter.XY{X: c.X[i], Y: y})
	}
	return flush()
}

// numberTicks marks round numbers, with a true minus sign.
type numberTicks struct{}

func (numberTicks) Ticks(low, high float64) []plot.Tick {
	ticks := plot.DefaultTicks{}.Ticks(low, high)
	for i := range ticks {
		ticks[i].Label = strings.Replace(ticks[i].Label, "-", "\u2212", 1)
	}
	return ticks
}

// keyTicks marks the Cs of a keyboard by their names.
type keyTicks struct{ naming mapping.Naming }

func (k keyTicks) Ticks(low, high float64) (ticks []plot.Tick) {
	for key := int(math.Ceil(low)); float64(key) <= high; key++ {
		switch {
		case key%12 == 0:
			ticks = append(ticks, plot.Tick{Value: float64(key), Label: k.naming.Name(key)})
		case key%12 == 6:
			ticks = append(ticks, plot.Tick{Value: float64(key)})
		}
	}
	return ticks
}
