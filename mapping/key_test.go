// Checks key names in both conventions for middle C.

package mapping

import (
	"strconv"
	"strings"
	"testing"
)

// A4 = 440 Hz is key 69 and the piano runs from A0 (21) to C8 (108) where middle C is C4
// (ISO 16 with scientific pitch notation); an octave less where middle C is C3 (common practice).
func TestKeyNames(t *testing.T) {
	for _, c := range []struct {
		key    int
		c4, c3 string
	}{
		{0, "C-1", "C-2"}, {21, "A0", "A-1"}, {36, "C2", "C1"}, {60, "C4", "C3"}, {66, "F#4", "F#3"},
		{69, "A4", "A3"}, {108, "C8", "C7"}, {127, "G9", "G8"},
	} {
		if got := MiddleC4.Name(c.key); got != c.c4 {
			t.Errorf("key %d with middle C as C4: %s, want %s", c.key, got, c.c4)
		}
		if got := MiddleC3.Name(c.key); got != c.c3 {
			t.Errorf("key %d with middle C as C3: %s, want %s", c.key, got, c.c3)
		}
	}
}

func TestEveryKeyReadsBack(t *testing.T) {
	for _, naming := range []Naming{MiddleC4, MiddleC3} {
		for key := LowestKey; key <= HighestKey; key++ {
			name := naming.Name(key)
			for _, text := range []string{name, strings.ToLower(name), strings.Replace(name, "#", "♯", 1),
				" " + name + " ", strconv.Itoa(key)} {
				if got, err := naming.ParseKey(text); err != nil || got != key {
					t.Errorf("%s: ParseKey(%q) = %d, %v; want %d", naming, text, got, err, key)
				}
			}
		}
	}
}

func TestFlatsAndNeighbouringOctaves(t *testing.T) {
	for text, want := range map[string]int{
		"Bb3": 58, "B♭3": 58, "bb3": 58, "Gb3": 54, "Cb4": 59, "B#3": 60, "E#4": 65, "Fb4": 64, "C-1": 0, "B#-2": 0,
	} {
		if got, err := MiddleC4.ParseKey(text); err != nil || got != want {
			t.Errorf("ParseKey(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
}

func TestBadKeys(t *testing.T) {
	for _, naming := range []Naming{MiddleC4, MiddleC3} {
		for _, text := range []string{
			"", " ", "H3", "C", "#3", "C##3", "C#b3", "3C", "C 3", "C3.5", "-1", "128", "Cb-2", "C11",
			"C99999999999999999999", "\x00", "Ç3", "@3",
		} {
			key, err := naming.ParseKey(text)
			if err == nil {
				t.Errorf("%s: ParseKey(%q) = %d, want an error", naming, text, key)
			} else if !strings.Contains(err.Error(), "expected") {
				t.Errorf("%s: ParseKey(%q): %v: says not what was expected", naming, text, err)
			}
		}
	}
	// Above G9 (127) there is no key, and the error names the range in the convention at hand.
	if _, err := MiddleC3.ParseKey("G#8"); err == nil || !strings.Contains(err.Error(), "C-2 to G8") {
		t.Errorf("G#8 with middle C as C3: %v, want the range C-2 to G8", err)
	}
}

func TestParseNaming(t *testing.T) {
	for text, want := range map[string]Naming{"C4": MiddleC4, "c3": MiddleC3} {
		if got, err := ParseNaming(text); err != nil || got != want {
			t.Errorf("ParseNaming(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	if got, err := ParseNaming("C5"); err == nil {
		t.Errorf("ParseNaming(C5) = %q, want an error", got)
	}
}
