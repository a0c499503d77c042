// Keeps a picture's file small.

package show

import (
	"cmp"
	"image"
	"image/color"
	"maps"
	"slices"
)

const paletteColours = 256 // what a byte a pixel can name

// paletted redraws a picture of few inks in its most frequent colours. The others are blends at the edges of letters
// and lines; each becomes the nearest of those. The file is half as large.
func paletted(picture image.Image) *image.Paletted {
	bounds := picture.Bounds()
	pixels := map[color.Color]int{}
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			pixels[picture.At(x, y)]++
		}
	}
	number := func(c color.Color) uint64 { r, g, b, _ := c.RGBA(); return uint64(r)<<32 + uint64(g)<<16 + uint64(b) }
	colours := slices.SortedFunc(maps.Keys(pixels), func(a, b color.Color) int {
		return cmp.Or(pixels[b]-pixels[a], cmp.Compare(number(a), number(b)))
	})
	few := image.NewPaletted(bounds, colours[:min(len(colours), paletteColours)])
	index := map[color.Color]uint8{}
	for _, c := range colours {
		index[c] = uint8(few.Palette.Index(c))
	}
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			few.SetColorIndex(x, y, index[picture.At(x, y)])
		}
	}
	return few
}
