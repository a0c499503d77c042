// Texts for chunks that know no letters but ASCII's.

package wav

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// ASCII takes the accents off letters and puts a question mark in place of what remains beyond ASCII.
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
