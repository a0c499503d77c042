// The inks and lines of the pictures. Lines that stand side by side differ in lightness and in their dashes, so that a
// print in grey and an eye that confuses hues tell them apart.

package show

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Ink is a colour on white paper and the one that takes its place on a dark page.
type Ink struct {
	Name        string
	Light, Dark color.RGBA
	Line        bool // it draws what must be seen, not paper or grid
}

func hex(rgb uint32) color.RGBA {
	return color.RGBA{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), 0xff}
}

var (
	paper   = Ink{"paper", hex(0xffffff), hex(0x15191c), false}
	textInk = Ink{"text", hex(0x1f272b), hex(0xe8e8e3), true}
	axisInk = Ink{"axis", hex(0x667178), hex(0x98a2a7), true}
	gridInk = Ink{"grid", hex(0xe4e7e8), hex(0x2d3438), false}
	markInk = Ink{"mark", hex(0x9c2b2b), hex(0xff9d92), true}
	peakInk = Ink{"peak", hex(0x7f9197), hex(0x6d7f86), true}
	lineInk = []Ink{
		{"line-1", hex(0x12414f), hex(0x93d3da), true},
		{"line-2", hex(0xc27526), hex(0xb5772f), true},
		{"line-3", hex(0x4f4c79), hex(0xcbc6ea), true},
		{"line-4", hex(0x6f8f8a), hex(0x6d948e), true},
	}
)

// Inks lists every ink that a picture may use.
func Inks() []Ink {
	return append([]Ink{paper, textInk, axisInk, gridInk, markInk, peakInk}, lineInk...)
}

// lineDashes go with lineInk: a fifth line begins again.
var lineDashes = [][]vg.Length{nil, {5, 2.5}, {1.5, 2}, {8, 2.5, 1.5, 2.5}}

// lineWidths let the dark lines carry.
var lineWidths = []vg.Length{1.8, 1.5, 1.9, 1.5}

// lineStyle is that of the nth of several lines.
func lineStyle(n int) draw.LineStyle {
	n %= len(lineInk)
	return draw.LineStyle{Color: lineInk[n].Light, Width: lineWidths[n], Dashes: lineDashes[n]}
}

// dotStyle is that of the dots of the nth of several curves: they differ in shape, and show where others lie below.
func dotStyle(n int) draw.GlyphStyle {
	n %= len(lineInk)
	shapes := []draw.GlyphDrawer{draw.CircleGlyph{}, ring{}, cross{}, triangle{}}
	radii := []vg.Length{2, 3.6, 3, 3.6}
	return draw.GlyphStyle{Color: lineInk[n].Light, Radius: radii[n], Shape: shapes[n]}
}

// Shapes of lines that can be seen, where the library's are hairlines. Each serves as a draw.GlyphDrawer.
type (
	ring     struct{}
	cross    struct{}
	triangle struct{}
)

const shapeWidth = 1.3

func (ring) DrawGlyph(canvas *draw.Canvas, style draw.GlyphStyle, at vg.Point) {
	var path vg.Path
	path.Move(vg.Point{X: at.X + style.Radius, Y: at.Y})
	path.Arc(at, style.Radius, 0, 2*math.Pi)
	path.Close()
	strokeShape(canvas, style, path)
}

func (cross) DrawGlyph(canvas *draw.Canvas, style draw.GlyphStyle, at vg.Point) {
	var path vg.Path
	for _, rise := range []vg.Length{1, -1} {
		path.Move(vg.Point{X: at.X - style.Radius, Y: at.Y - rise*style.Radius})
		path.Line(vg.Point{X: at.X + style.Radius, Y: at.Y + rise*style.Radius})
	}
	strokeShape(canvas, style, path)
}

func (triangle) DrawGlyph(canvas *draw.Canvas, style draw.GlyphStyle, at vg.Point) {
	var path vg.Path
	half := style.Radius * 0.87 // of a side: cosine of 30 degrees
	path.Move(vg.Point{X: at.X, Y: at.Y + style.Radius})
	path.Line(vg.Point{X: at.X - half, Y: at.Y - style.Radius/2})
	path.Line(vg.Point{X: at.X + half, Y: at.Y - style.Radius/2})
	path.Close()
	strokeShape(canvas, style, path)
}

func strokeShape(canvas *draw.Canvas, style draw.GlyphStyle, path vg.Path) {
	canvas.SetLineStyle(draw.LineStyle{Color: style.Color, Width: vg.Points(shapeWidth)})
	canvas.Stroke(path)
}

// Hex writes a colour as CSS and SVG do.
func Hex(c color.RGBA) string { return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B) }

// inkVariables replaces each ink of an SVG by a CSS variable of its name, so that the page decides.
func inkVariables() *strings.Replacer {
	var pairs []string
	for _, ink := range Inks() {
		pairs = append(pairs, Hex(ink.Light), "var(--"+ink.Name+")")
	}
	return strings.NewReplacer(pairs...)
}
