package show

import (
	"image/color"
	"math"
	"testing"
)

// Inks that lie side by side differ by at least 20 in lightness: CIE 1976 L* of the sRGB luminance (IEC 61966-2-1).
// WCAG 2.2, success criterion 1.4.1, asks that colour is not the only means of telling things apart.
func TestInksDifferInGrey(t *testing.T) {
	for i, ink := range strandInks[1:] {
		if apart := math.Abs(lightness(ink) - lightness(strandInks[i])); apart < 20 {
			t.Errorf("strands %d and %d are %.0f apart in lightness", i, i+1, apart)
		}
	}
	if apart := lightness(peakInk) - lightness(rmsInk); apart < 20 {
		t.Errorf("peak and RMS are %.0f apart in lightness", apart)
	}
}

func lightness(c color.RGBA) float64 {
	linear := func(value uint8) float64 {
		v := float64(value) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 116*math.Cbrt(0.2126*linear(c.R)+0.7152*linear(c.G)+0.0722*linear(c.B)) - 16
}
