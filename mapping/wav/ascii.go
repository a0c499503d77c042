// Texts for chunks that hold ASCII only.

package wav

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// ASCII takes the accents off letters and replaces what is still not ASCII by question marks.
func ASCII(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Mn, r):
			return -1
		case r > '~':
			return '?'
		}
		return r
	}, norm.NFD.String(text))
}
