// The inks and letters of the pictures. Inks that stand side by side differ in lightness, so that a print in grey and
// an eye that confuses hues tell them apart.

package show

import (
	"image/color"

	stdfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg/draw"
)

var (
	textInk = color.RGBA{0x2b, 0x31, 0x36, 0xff}
	axisInk = color.RGBA{0x6b, 0x74, 0x7a, 0xff}
	gridInk = color.RGBA{0xe2, 0xe5, 0xe7, 0xff}

	rmsInk  = color.RGBA{0x1d, 0x55, 0x66, 0xff}
	peakInk = color.RGBA{0xb3, 0xc0, 0xc4, 0xff}

	// A fifth strand begins again with the first ink.
	strandInks = []color.RGBA{
		{0xe9, 0xd8, 0xb4, 0xff}, {0x6d, 0xa2, 0x9c, 0xff}, {0x47, 0x61, 0x7e, 0xff}, {0x3f, 0x1f, 0x31, 0xff},
	}
)

func strandInk(strand int) color.RGBA { return strandInks[strand%len(strandInks)] }

// letters is a text style in the sans serif that the program carries: Liberation Sans.
func letters(points font.Length, weight stdfont.Weight, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{
		Color:   textInk,
		Font:    font.From(font.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight}, points),
		XAlign:  x,
		YAlign:  y,
		Handler: plot.DefaultTextHandler,
	}
}

func titleStyle() text.Style { return letters(13, stdfont.WeightBold, draw.XLeft, draw.YTop) }

func headingStyle(x text.XAlignment) text.Style {
	return letters(11, stdfont.WeightNormal, x, draw.YTop)
}

func labelStyle(x text.XAlignment, y text.YAlignment) text.Style {
	return letters(10, stdfont.WeightNormal, x, y)
}
