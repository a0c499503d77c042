// One plot of a picture, with the line above it that holds its heading and its legend.

package show

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

type panel struct {
	plot    *plot.Plot
	heading string
	legend  []legendEntry // beside the heading, so that it covers nothing
	height  vg.Length     // of the plot, its time axis included
}

// legendEntry names an ink.
type legendEntry struct {
	name  string
	ink   color.Color
	thick vg.Length // of the sample of the ink

	dashes []vg.Length // of the curve; nil: it has none
}

// newPanel makes an empty plot over a time of seconds, with grid lines and without axes.
func newPanel(heading string, height vg.Length, seconds float64) panel {
	p := plot.New()
	p.X.Min, p.X.Max = 0, seconds
	p.X.Padding, p.Y.Padding = 0, 0
	p.X.Tick.Marker = timeTicks{}
	p.Y.LineStyle.Width, p.Y.Tick.Length = 0, 0
	p.X.Label.TextStyle = labelStyle(draw.XCenter, draw.YBottom)
	p.X.Tick.Label = labelStyle(draw.XCenter, draw.YTop)
	p.Y.Tick.Label = labelStyle(draw.XRight, draw.YCenter-0.12) // the axis lifts its labels a little
	p.X.Color, p.X.Tick.Color = axisInk, axisInk
	return panel{plot: p, heading: heading, height: height}
}

// addTimeAxis gives the plot an axis for the time, below it.
func (p *panel) addTimeAxis(seconds float64) {
	p.plot.X.Label.Text = timeLabel(seconds)
	p.height += axisHeight
}

// hideTimeAxis leaves the plot without an axis to see. The labels keep their places unseen, so that the data end where
// those of the panel with the axis do.
func (p *panel) hideTimeAxis() {
	p.plot.X.Width, p.plot.X.Tick.Width = 0, 0
	p.plot.X.Tick.Label.Color = color.Transparent
}

// dataLeft is how far the plot's data lie from the left edge of what it is drawn on.
func (p *panel) dataLeft(page draw.Canvas) vg.Length {
	return p.plot.DataCanvas(page).Min.X - page.Min.X
}

// widestLabels returns where the data of all panels begin, so that the labels of each have room to their left.
func widestLabels(panels []panel, page draw.Canvas) vg.Length {
	var left vg.Length
	for i := range panels {
		left = max(left, pageMargin+panels[i].dataLeft(page))
	}
	return left
}

// draw draws heading, legend and plot downwards from top, with the data from left on.
func (p *panel) draw(page draw.Canvas, left, top vg.Length) {
	canvas := p.canvas(page, left, top)
	p.plot.Draw(canvas)
	page.FillText(headingStyle(draw.XLeft), vg.Point{X: left, Y: top}, p.heading)
	p.drawLegend(page, p.plot.DataCanvas(canvas).Max.X, top)
}

// canvas is what the plot is drawn on, below the heading.
func (p *panel) canvas(page draw.Canvas, left, top vg.Length) draw.Canvas {
	return draw.Canvas{Canvas: page.Canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: left - p.dataLeft(page), Y: top - headHeight - p.height},
		Max: vg.Point{X: pageWidth - pageMargin, Y: top - headHeight},
	}}
}

// drawLegend writes the legend from right to left.
func (p *panel) drawLegend(page draw.Canvas, right, top vg.Length) {
	const sampleWidth, gap, between = 22, 5, 16
	style := headingStyle(draw.XRight)
	middle := top - style.FontExtents().Height/2
	for i := len(p.legend) - 1; i >= 0; i-- {
		entry := p.legend[i]
		page.FillText(style, vg.Point{X: right, Y: top}, entry.name)
		right -= style.Width(entry.name) + gap
		line := draw.LineStyle{Color: entry.ink, Width: entry.thick, Dashes: entry.dashes}
		page.StrokeLine2(line, right-sampleWidth, middle, right, middle)
		right -= sampleWidth + between
	}
}

// grid draws a line at each tick of the axes, behind the data.
type grid struct{ across bool }

func (g grid) Plot(canvas draw.Canvas, p *plot.Plot) {
	toX, toY := p.Transforms(&canvas)
	line := draw.LineStyle{Color: gridInk, Width: vg.Points(0.6)}
	for _, tick := range (timeTicks{}).Ticks(p.X.Min, p.X.Max) {
		canvas.StrokeLine2(line, toX(tick.Value), canvas.Min.Y, toX(tick.Value), canvas.Max.Y)
	}
	if g.across {
		for _, tick := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
			canvas.StrokeLine2(line, canvas.Min.X, toY(tick.Value), canvas.Max.X, toY(tick.Value))
		}
	}
}
