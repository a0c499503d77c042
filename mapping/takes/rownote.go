// Whether the note in a file's name, in any common language, is the one that is heard.

package takes

import (
	"math"
	"path"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Notes as people write them, with an octave number or German octave marks right behind: without, most of them are
// ordinary words.
var (
	letterNote = regexp.MustCompile(`(?i)(?:^|[^\pL\d#♯♭])([A-H])(is|es|s|#|♯|b|♭)?` +
		`(?:-?[0-9](?:$|[^\d.]|\.\D)|['’′]+(?:$|[^\d\pL'’]))`)
	fixedDo = regexp.MustCompile(`(?i)(?:^|[^\pL\d])(do|dó|ut|re|ré|mi|fa|fá|sol|la|lá|si|ti)` +
		`(#|♯|b|♭)?-?[0-9](?:$|[^\d.\pL]|\.\D)`)
)

// Semitones above C.
var (
	letterSemitones  = map[string]int{"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "b": 11, "h": 11}
	fixedDoSemitones = map[string]int{"do": 0, "dó": 0, "ut": 0, "re": 2, "ré": 2, "mi": 4, "fa": 5, "fá": 5, "sol": 7,
		"la": 9, "lá": 9, "si": 11, "ti": 11}
	// What stands behind a letter. An s is short for sharp to some, and flat in the German As and Es.
	signSemitones = map[string][]int{"": {0}, "#": {1}, "♯": {1}, "is": {1}, "b": {-1}, "♭": {-1},
		"es": {-1}, "s": {1}}
)

// nameNotes gives the notes that the name of a file may mean, in semitones above C, 0 to 11: of B4 two, for a German B
// is B flat. It is nil where the name tells no note or several. Folders do not count.
func nameNotes(file string) []int {
	name := norm.NFC.String(strings.TrimSuffix(path.Base(file), path.Ext(file)))
	if keys := nameKeys(file); len(keys) == 1 {
		return []int{keys[0] % 12} // by its number
	}
	var notes []int
	found := ""
	for _, match := range append(letterNote.FindAllStringSubmatch(name, -1),
		fixedDo.FindAllStringSubmatch(name, -1)...) {
		note, sign := strings.ToLower(match[1]), strings.ToLower(match[2])
		if found != "" && found != note+sign {
			return nil
		}
		if found = note + sign; len(notes) == 0 {
			notes = readings(note, sign)
		}
	}
	return notes
}

func readings(note, sign string) (notes []int) {
	base, isLetter := letterSemitones[note]
	if !isLetter {
		base = fixedDoSemitones[note]
	}
	steps := signSemitones[sign]
	if sign == "s" && (note == "a" || note == "e") {
		steps = []int{1, -1}
	}
	if note == "b" && sign == "" {
		steps = []int{0, -1}
	}
	for _, step := range steps {
		notes = append(notes, (base+step+12)%12)
	}
	return notes
}

// wrongNote says whether the file's name tells a note, and the pitch is surely another one, in whatever octave.
func (r *Row) wrongNote() bool {
	notes := nameNotes(r.Path)
	if len(notes) == 0 || !r.Pitch.Sure() || !(r.Pitch.Hz > 0) {
		return false
	}
	key, cents := r.Pitch.Key()
	return !slices.ContainsFunc(notes, func(note int) bool {
		octaves := (float64(key-note) + cents/100) / 12
		return math.Abs(octaves-math.Round(octaves)) <= mostOffSemitones/12
	})
}

// mostOffSemitones is how far a take may be from the note in its name and still be meant: stretched basses are up to
// 70 cents flat.
const mostOffSemitones = 0.7
