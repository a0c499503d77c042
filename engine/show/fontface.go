// The letters that a page or an SVG carries: those of Liberation Sans that it needs.

package show

import (
	"encoding/base64"
	"fmt"
	"strings"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
)

// FontFamily is the CSS family of the letters of FontFace. Where they cannot be read, others of the same widths
// follow. The licence of Liberation Sans, the SIL Open Font License 1.1, keeps its name for the unchanged font.
const FontFamily = "lapstrake,'Liberation Sans',Arial,Helvetica,sans-serif"

// FontFace gives the CSS of a regular and a bold font that hold the letters of text and no others.
func FontFace(text string) (string, error) {
	var css strings.Builder
	for _, face := range []struct {
		weight string
		ttf    []byte
	}{{"normal", liberationsansregular.TTF}, {"bold", liberationsansbold.TTF}} {
		font, err := subsetFont(face.ttf, text)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(&css, "@font-face{font-family:lapstrake;font-weight:%s;src:url(data:font/ttf;base64,%s)}",
			face.weight, base64.StdEncoding.EncodeToString(font))
	}
	return css.String(), nil
}
