package show

import (
	"image/color"
	"math"
	"testing"
)

// What must be seen has a contrast of 3 to 1 at least with its paper, and words 4.5 to 1, in light and in dark: WCAG
// 2.2, success criteria 1.4.11 and 1.4.3.
func TestInksContrast(t *testing.T) {
	for _, ink := range Inks() {
		if !ink.Line {
			continue
		}
		least := 3.0
		if ink == textInk || ink == markInk || ink == axisInk {
			least = 4.5
		}
		for _, pair := range [][2]color.RGBA{{ink.Light, paper.Light}, {ink.Dark, paper.Dark}} {
			if ratio := contrast(pair[0], pair[1]); ratio < least {
				t.Errorf("%s: %s on %s has a contrast of %.2f, want %v", ink.Name, Hex(pair[0]),
					Hex(pair[1]), ratio, least)
			}
		}
	}
}

// Lines that follow one another differ by at least 20 in lightness (CIE 1976 L*, of the luminance of IEC 61966-2-1),
// and in their dashes: WCAG 2.2, success criterion 1.4.1, asks that colour is not the only means of telling apart.
func TestLinesDifferInGrey(t *testing.T) {
	for i := range lineInk[1:] {
		for _, pair := range [][2]color.RGBA{{lineInk[i].Light, lineInk[i+1].Light},
			{lineInk[i].Dark, lineInk[i+1].Dark}} {
			if apart := math.Abs(lightness(pair[0]) - lightness(pair[1])); apart < 20 {
				t.Errorf("lines %d and %d, %s and %s, are %.0f apart in lightness", i+1, i+2, Hex(pair[0]),
					Hex(pair[1]), apart)
			}
		}
	}
	if apart := math.Abs(lightness(peakInk.Light) - lightness(lineInk[0].Light)); apart < 20 {
		t.Errorf("peak and RMS are %.0f apart in lightness", apart)
	}
}

func lightness(c color.RGBA) float64 { return 116*math.Cbrt(luminance(c)) - 16 }

// contrast is the contrast ratio of WCAG 2.2.
func contrast(a, b color.RGBA) float64 {
	brighter, darker := max(luminance(a), luminance(b)), min(luminance(a), luminance(b))
	return (brighter + 0.05) / (darker + 0.05)
}

func luminance(c color.RGBA) float64 {
	linear := func(value uint8) float64 {
		v := float64(value) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}
