// A picture of a sound: its level over time and which bed leads when.

package show

import (
	"image/color"
	"image/png"
	"io"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// Picture draws the level of a sound over time and, where a chord is given, a lane for each of its sounding cycles.
type Picture struct {
	Title  string
	Levels *Levels // of one frame or more
	Chord  *Chord  // nil for a score: the picture then has no lanes
}

// The page, in points. The picture has 110 pixels an inch: 1161 pixels across.
const (
	pageWidth   = vg.Length(760)
	pageMargin  = vg.Length(14)
	titleHeight = vg.Length(30)
	headHeight  = vg.Length(22) // of the line above a plot, with its heading and its legend
	panelGap    = vg.Length(8)
	levelHeight = vg.Length(240)
	laneHeight  = vg.Length(17)
	axisHeight  = vg.Length(40)
	dotsPerInch = 110
)

// WritePNG draws the picture as a PNG.
func (p *Picture) WritePNG(w io.Writer) error {
	panels, err := p.panels()
	if err != nil {
		return err
	}
	height := pageMargin + titleHeight
	for _, panel := range panels {
		height += headHeight + panel.height + panelGap
	}
	size, dots := vgimg.UseWH(pageWidth, height), vgimg.UseDPI(dotsPerInch)
	canvas := vgimg.NewWith(size, dots, vgimg.UseBackgroundColor(color.White))
	page := draw.New(canvas)
	top := height - pageMargin
	left := widestLabels(panels, page)
	page.FillText(titleStyle(), vg.Point{X: left, Y: top}, p.Title)
	top -= titleHeight
	for _, panel := range panels {
		panel.draw(page, left, top)
		top -= headHeight + panel.height + panelGap
	}
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	return encoder.Encode(w, paletted(canvas.Image()))
}

// panels makes the plots. The lowest alone has a time axis, which counts for all.
func (p *Picture) panels() ([]panel, error) {
	seconds := p.Levels.Seconds()
	level, err := levelPanel(p.Levels)
	if err != nil {
		return nil, err
	}
	if p.Chord == nil || len(p.Chord.Cycles) == 0 {
		level.addTimeAxis(seconds)
		return []panel{level}, nil
	}
	lanes, err := lanePanel(p.Chord, seconds)
	if err != nil {
		return nil, err
	}
	level.hideTimeAxis()
	lanes.addTimeAxis(seconds)
	return []panel{level, lanes}, nil
}
