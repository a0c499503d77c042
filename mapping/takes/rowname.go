// The note that a file's name tells.

package takes

import (
	"path"
	"regexp"
	"strconv"
	"strings"

	"lapstrake/mapping"
)

var (
	// A letter, perhaps an accidental ("s" for sharp too), an octave; nothing that makes it part of a word or number.
	noteInName = regexp.MustCompile(`(?:^|[^\pL\d#♯♭])([A-Ga-g])(#|♯|s|b|♭)?(-?[0-9])(?:$|[^\d.]|\.\D)`)
	// A key's number.
	numberInName = regexp.MustCompile(`(?i)(?:^|[^\pL\d])(?:key|midi|note|k)[ _-]?([0-9]{1,3})(?:$|\D)`)
)

// nameKeys gives the keys that the name of a file may mean: of k060.wav one, of flute_F#3.wav two, the
// first with middle C as C4 and the second as C3, and none where the name tells no note or
// several. Folders do not count.
func nameKeys(file string) []int {
	name := strings.TrimSuffix(path.Base(file), path.Ext(file))
	if numbers := numberInName.FindAllStringSubmatch(name, -1); len(numbers) == 1 {
		if key, err := strconv.Atoi(numbers[0][1]); err == nil && key <= mapping.HighestKey {
			return []int{key}
		}
	}
	found := ""
	for _, match := range noteInName.FindAllStringSubmatch(name, -1) {
		note := strings.ToUpper(match[1]) + strings.Replace(match[2], "s", "#", 1) + match[3]
		if found != "" && found != note {
			return nil
		}
		found = note
	}
	var keys []int
	for _, naming := range conventions {
		if key, err := naming.ParseKey(found); err == nil {
			keys = append(keys, key)
		}
	}
	if len(keys) < len(conventions) {
		return nil // no note, or one at the end of the keyboard
	}
	return keys
}

// conventions are the names that middle C has, in the order of nameKeys.
var conventions = []mapping.Naming{mapping.MiddleC4, mapping.MiddleC3}
