package mapping

import (
	"fmt"
	"strconv"
	"strings"
)

// The MIDI key range.
const (
	LowestKey  = 0
	HighestKey = 127
	MiddleCKey = 60 // MIDI 1.0
)

// Naming says which octave number middle C (key 60) bears: "C4" or "C3". The
// two conventions differ by an octave, so whatever reads a name says the key.
type Naming string

// The two conventions in use.
const (
	MiddleC4 Naming = "C4"
	MiddleC3 Naming = "C3"
)

// ParseNaming reads "C4" or "C3".
func ParseNaming(text string) (Naming, error) {
	switch n := Naming(strings.ToUpper(text)); n {
	case MiddleC4, MiddleC3:
		return n, nil
	}
	return "", fmt.Errorf("middle C %q: expected C4 or C3, the name that key 60 has where the beds were made", text)
}

func (n Naming) octaveOffset() int {
	if n == MiddleC3 {
		return 2
	}
	return 1
}

var sharpNames = [12]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}

// Name gives the name of a key, such as "F#3", with sharps.
func (n Naming) Name(key int) string {
	return fmt.Sprintf("%s%d", PitchClass(key), key/12-n.octaveOffset())
}

// PitchClass gives the name of a key without its octave, such as "F#".
func PitchClass(key int) string { return sharpNames[((key%12)+12)%12] }

// ParseKey reads a key as a number (0 to 127) or as a name such as "F#3", "Gb3",
// "F♯3" or "B♭-1" under this convention.
func (n Naming) ParseKey(text string) (int, error) {
	key, err := n.parseKey(strings.TrimSpace(text))
	if err != nil {
		return 0, fmt.Errorf("key %q: %w", text, err)
	}
	if key < LowestKey || key > HighestKey {
		return 0, fmt.Errorf("key %q is number %d: expected 0 to 127, that is %s to %s with middle C as %s",
			text, key, n.Name(LowestKey), n.Name(HighestKey), n)
	}
	return key, nil
}

func (n Naming) parseKey(text string) (int, error) {
	if key, err := strconv.Atoi(text); err == nil {
		return key, nil
	}
	expected := fmt.Errorf("expected a number from 0 to 127 or a name such as F#3 or Bb2")
	if text == "" {
		return 0, expected
	}
	class := strings.IndexByte("C D EF G A B", text[0]&^0x20)
	if class < 0 || text[0] == ' ' {
		return 0, expected
	}
	rest := text[1:]
	for _, accidental := range []struct {
		sign string
		step int
	}{{"#", 1}, {"♯", 1}, {"b", -1}, {"♭", -1}} {
		if after, found := strings.CutPrefix(rest, accidental.sign); found {
			class, rest = class+accidental.step, after
			break
		}
	}
	octave, err := strconv.Atoi(rest)
	if err != nil || octave < -2 || octave > 10 {
		return 0, expected
	}
	return class + 12*(octave+n.octaveOffset()), nil
}
