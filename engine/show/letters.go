// The letters of the pictures: Liberation Sans, a sans serif that the program carries.

package show

import (
	stdfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg/draw"
)

func letters(points font.Length, weight stdfont.Weight, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{
		Color:   textInk.Light,
		Font:    font.From(font.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight}, points),
		XAlign:  x,
		YAlign:  y,
		Handler: plot.DefaultTextHandler,
	}
}

func titleStyle() text.Style { return letters(13, stdfont.WeightBold, draw.XLeft, draw.YTop) }

func headingStyle() text.Style { return letters(10.5, stdfont.WeightNormal, draw.XLeft, draw.YTop) }

func labelStyle(x text.XAlignment, y text.YAlignment) text.Style {
	return letters(9.5, stdfont.WeightNormal, x, y)
}

func markStyle() text.Style { return letters(9.5, stdfont.WeightBold, draw.XCenter, draw.YTop) }
