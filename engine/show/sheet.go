// A sheet: a title, and plots below one another whose data share a left edge. All pictures are sheets.

package show

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Drawing is a picture that is not drawn yet.
type Drawing interface {
	Name() string // its title
	sheet() (*sheet, error)
}

type sheet struct {
	title  string
	panels []panel
}

// The page, in points. A PNG has 110 pixels an inch: it is 1161 pixels across.
const (
	pageWidth   = vg.Length(760)
	pageMargin  = vg.Length(14)
	titleHeight = vg.Length(26)
	panelGap    = vg.Length(14)
	leastLabels = vg.Length(40) // room for the labels of an axis, the same in most pictures
	dotsPerInch = 110
)

// WritePNG draws a picture as a PNG on white.
func WritePNG(w io.Writer, d Drawing) error {
	s, err := d.sheet()
	if err != nil {
		return fmt.Errorf("%s: %w", d.Name(), err)
	}
	size, dots := vgimg.UseWH(pageWidth, s.height()), vgimg.UseDPI(dotsPerInch)
	canvas := vgimg.NewWith(size, dots, vgimg.UseBackgroundColor(color.White))
	s.draw(draw.New(canvas))
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	return encoder.Encode(w, paletted(canvas.Image()))
}

// WriteSVG draws a picture as an SVG on white. Its text stays text, in letters that the file carries.
func WriteSVG(w io.Writer, d Drawing) error {
	body, s, err := svgBody(d)
	if err != nil {
		return err
	}
	face, err := FontFace(body + s.title)
	if err != nil {
		return err
	}
	sheet := fmt.Sprintf("<rect width=\"100%%\" height=\"100%%\" fill=\"%s\"/>", Hex(paper.Light))
	_, err = fmt.Fprintf(w, "<?xml version=\"1.0\"?>\n%s<style>%s</style>\n%s\n%s\n", svgHead(s, 0), face, sheet, body)
	return err
}

// InlineSVG draws a picture for a page that has the letters of FontFace and the inks of Inks as CSS variables of their
// names.
func InlineSVG(d Drawing) (string, error) {
	body, s, err := svgBody(d)
	if err != nil {
		return "", err
	}
	return svgHead(s, pageMargin) + inkVariables().Replace(body) + "\n", nil
}

// svgHead begins an SVG and says its title. cut is taken off each side.
func svgHead(s *sheet, cut vg.Length) string {
	var title bytes.Buffer
	xml.EscapeText(&title, []byte(s.title))
	width, height := pageWidth-2*cut, s.height()-2*cut
	return fmt.Sprintf("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"%g %[1]g %[2]g %[3]g\" "+
		"width=\"%[2]gpt\" height=\"%[3]gpt\">\n<title>%[4]s</title>\n", cut, width, height, title.String())
}

// svgBody is the SVG without its head.
func svgBody(d Drawing) (string, *sheet, error) {
	s, err := d.sheet()
	if err != nil {
		return "", nil, fmt.Errorf("%s: %w", d.Name(), err)
	}
	canvas := vgsvg.NewWith(vgsvg.UseWH(pageWidth, s.height()))
	s.draw(draw.New(canvas))
	var svg bytes.Buffer
	if _, err := canvas.WriteTo(&svg); err != nil {
		return "", nil, err
	}
	_, rest, _ := strings.Cut(svg.String(), "<svg")
	_, body, _ := strings.Cut(rest, ">")
	body = strings.NewReplacer(
		"font-family:Liberation Sans;font-variant:normal;", "font-family:"+FontFamily+";", "font-style:normal;", "",
		"font-weight:normal;", "", "\n\tstyle", " style", "xlink:href", "href",
		"<image ", `<image preserveAspectRatio="none" `,
	).Replace(body)
	var seen strings.Builder
	for line := range strings.Lines(body) {
		if !strings.Contains(line, "fill:#-") { // the ink of hidden labels, as the library writes it
			seen.WriteString(line)
		}
	}
	return strings.TrimSpace(seen.String()), s, nil
}

func (s *sheet) height() vg.Length {
	height := pageMargin + titleHeight
	for i := range s.panels {
		height += s.panels[i].wholeHeight() + panelGap
	}
	return height
}

func (s *sheet) draw(page draw.Canvas) {
	top := s.height() - pageMargin
	page.FillText(titleStyle(), vg.Point{X: pageMargin, Y: top}, s.title)
	top -= titleHeight
	left := dataLeft(s.panels, page)
	for i := range s.panels {
		s.panels[i].draw(page, left, top)
		top -= s.panels[i].wholeHeight() + panelGap
	}
}

// dataLeft returns where the data of all panels begin, so that the labels of each have room to their left.
func dataLeft(panels []panel, page draw.Canvas) vg.Length {
	left := leastLabels
	for i := range panels {
		left = max(left, panels[i].labelsWidth(page))
	}
	return pageMargin + left
}
