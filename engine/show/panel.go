// One plot of a picture, with the lines above it that hold its heading, its legend and the words of its marks.

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
	legend  []legendEntry // below the heading, so that it covers nothing
	marks   []Mark
	height  vg.Length // of the plot, its axis included
}

// legendEntry names a line, or dots.
type legendEntry struct {
	name  string
	style draw.LineStyle
	dot   *draw.GlyphStyle
}

// Mark is a place on the axis that wants a look, such as a finding: a line up through the plot, and a word or two
// above it.
type Mark struct {
	X     float64
	Text  string // "" where another panel says it
	Grave bool   // a line without gaps
}

const (
	headingHeight = vg.Length(18)
	legendHeight  = vg.Length(17)
	wordsHeight   = vg.Length(13) // of a row of words above marks
	axisHeight    = vg.Length(34)
)

// newPanel makes an empty plot, with an axis below it for what label says.
func newPanel(heading string, height vg.Length, ticks plot.Ticker, label string) panel {
	p := plot.New()
	p.BackgroundColor = color.Transparent
	p.X.Padding, p.Y.Padding = 0, 0
	p.X.Tick.Marker = ticks
	p.Y.LineStyle.Width, p.Y.Tick.Length, p.X.Tick.Length = 0, 0, 4
	p.X.Label.TextStyle = labelStyle(draw.XCenter, draw.YBottom)
	p.X.Tick.Label = labelStyle(draw.XCenter, draw.YTop)
	p.Y.Tick.Label = labelStyle(draw.XRight, draw.YCenter-0.12) // the axis lifts its labels a little
	p.X.Color, p.X.Tick.Color = axisInk.Light, axisInk.Light
	p.X.Label.Text = label
	p.Add(grid{})
	return panel{plot: p, heading: heading, height: height + axisHeight}
}

// hideAxis leaves the plot without an axis to see, for one that the panel below has too. The labels keep their places
// unseen, so that the data end where those of the panel below do.
func (p *panel) hideAxis() {
	p.plot.X.Width, p.plot.X.Tick.Width, p.plot.X.Tick.Length = 0, 0, 0
	p.plot.X.Tick.Label.Color = color.Transparent
	p.plot.X.Label.Text = ""
	p.height -= axisHeight
}

// labelsWidth is what the labels of the plot take to the left of its data.
func (p *panel) labelsWidth(page draw.Canvas) vg.Length {
	return p.plot.DataCanvas(page).Min.X - page.Min.X
}

// headHeight is what stands above the plot.
func (p *panel) headHeight() vg.Length {
	height := headingHeight + vg.Length(len(p.legendRows()))*legendHeight
	if rows := p.wordRows(); rows > 0 {
		height += vg.Length(rows) * wordsHeight
	}
	return height
}

func (p *panel) wholeHeight() vg.Length { return p.headHeight() + p.height }

// draw draws heading, legend and plot downwards from top, with the data from left on.
func (p *panel) draw(page draw.Canvas, left, top vg.Length) {
	canvas := p.canvas(page, left, top)
	page.FillText(headingStyle(), vg.Point{X: pageMargin, Y: top}, p.heading)
	p.drawLegend(page, top-headingHeight)
	data := p.plot.DataCanvas(canvas)
	toX, _ := p.plot.Transforms(&data)
	p.drawMarks(page, data, toX)
	p.plot.Draw(canvas)
}

// canvas is what the plot is drawn on, below the heading.
func (p *panel) canvas(page draw.Canvas, left, top vg.Length) draw.Canvas {
	head := p.headHeight()
	return draw.Canvas{Canvas: page.Canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: left - p.labelsWidth(page), Y: top - head - p.height},
		Max: vg.Point{X: pageWidth - pageMargin, Y: top - head},
	}}
}

const (
	sampleWidth = vg.Length(26)
	sampleGap   = vg.Length(5)
	legendGap   = vg.Length(18)
)

func (e legendEntry) width() vg.Length { return sampleWidth + sampleGap + headingStyle().Width(e.name) }

// legendRows breaks the legend into lines that fit the page.
func (p *panel) legendRows() (rows [][]legendEntry) {
	right := vg.Length(0)
	for _, entry := range p.legend {
		if right += entry.width(); len(rows) == 0 || right > pageWidth-2*pageMargin {
			rows, right = append(rows, nil), entry.width()
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], entry)
		right += legendGap
	}
	return rows
}

func (p *panel) drawLegend(page draw.Canvas, top vg.Length) {
	style := headingStyle()
	for _, row := range p.legendRows() {
		x, middle := pageMargin, top-style.FontExtents().Height/2
		for _, entry := range row {
			if entry.dot != nil {
				page.DrawGlyph(*entry.dot, vg.Point{X: x + sampleWidth/2, Y: middle})
			} else {
				page.StrokeLine2(entry.style, x, middle, x+sampleWidth, middle)
			}
			page.FillText(style, vg.Point{X: x + sampleWidth + sampleGap, Y: top}, entry.name)
			x += entry.width() + legendGap
		}
		top -= legendHeight
	}
}

var gridLine = draw.LineStyle{Color: gridInk.Light, Width: vg.Points(0.6)}

// grid draws a line at each labelled tick of the axes, behind the data.
type grid struct{}

func (grid) Plot(canvas draw.Canvas, p *plot.Plot) {
	toX, toY := p.Transforms(&canvas)
	for _, tick := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		if tick.Label != "" && tick.Value >= p.X.Min && tick.Value <= p.X.Max {
			canvas.StrokeLine2(gridLine, toX(tick.Value), canvas.Min.Y, toX(tick.Value), canvas.Max.Y)
		}
	}
	if _, named := p.Y.Tick.Marker.(plot.ConstantTicks); named {
		return // the names of lanes
	}
	for _, tick := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		if tick.Label != "" && tick.Value >= p.Y.Min && tick.Value <= p.Y.Max {
			canvas.StrokeLine2(gridLine, canvas.Min.X, toY(tick.Value), canvas.Max.X, toY(tick.Value))
		}
	}
}
