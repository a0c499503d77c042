package scale

import (
	"math"
	"strings"
	"testing"
)

// Intervals of the quarter-comma meantone, the Pythagorean and the harmonic scale, by their definitions: a meantone
// fifth is 1200·log2(5)/4 cents (handbook value 696.578), the fifth 3/2 is 701.955, the syntonic comma 81/80 is
// 21.506, the seventh harmonic 7/4 is 968.826 (Helmholtz and Ellis, On the Sensations of Tone, app. XX; from memory).
func TestPublishedIntervals(t *testing.T) {
	const text = "! by.scl\n!\n\n 5 notes\n 81/80 the comma\n 696.578\n 3/2\n 7/4 ! seventh\n 2\n"
	s, err := Parse(strings.NewReader(text), "by.scl")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{21.506, 300 * math.Log2(5), 701.955, 968.826, 1200} {
		if math.Abs(s.Cents[i]-want) > 0.0005 {
			t.Errorf("note %d: %.4f cents, want %.4f", i+1, s.Cents[i], want)
		}
	}
	if s.Title != "" || len(s.Cents) != 5 {
		t.Errorf("read %+v", s)
	}
}

func TestTextsOfOldFiles(t *testing.T) {
	s, err := Parse(strings.NewReader("\ufeffM\xe9lange\r\n1\r\n2/1\r\n"), "old.scl")
	if err != nil || s.Title != "Mélange" || s.Cents[0] != 1200 {
		t.Errorf("read %+v, %v", s, err)
	}
}

func TestWhatIsWrongIsTold(t *testing.T) {
	for text, want := range map[string]string{
		"":                          "line 1: found the end of the file",
		"! only\n! comments\n":      "line 3: found the end of the file",
		"a\n":                       "the number of notes",
		"a\nmany\n":                 `line 2: found "many"`,
		"a\n0\n":                    "found 0 notes",
		"a\n129\n":                  "found 129 notes",
		"a\n2\n3/2\n":               "the end of the file after 1 notes",
		"a\n1\n3/-2\n":              `line 3: found "3/-2"`,
		"a\n1\n0/1\n":               `found "0/1"`,
		"a\n1\n1/0\n":               `found "1/0"`,
		"a\n1\n-5.0\n":              "more than 0",
		"a\n1\n1/1\n":               "more than 0",
		"a\n1\nNaN.\n":              `found "NaN."`,
		"a\n1\n99999999.0\n":        `found "99999999.0"`,
		"a\n1\n\n":                  `found ""`,
		strings.Repeat("a", 2<<20):  "expected a text file",
		"a\n2\n! a comment\n3/2\n!": "line 6: found the end of the file after 1 notes",
	} {
		_, err := Parse(strings.NewReader(text), "x.scl")
		if err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "x.scl: ") {
			t.Errorf("%.30q: %v, want %s", text, err, want)
		}
	}
}

// Whatever a file holds, a scale that is read can be played.
func FuzzParse(f *testing.F) {
	f.Add("! s\ntitle\n 3\n9/8\n700.\n2/1\n")
	f.Add("a\n1\n2\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse(strings.NewReader(text), "f.scl")
		if err != nil {
			return
		}
		if len(s.Cents) < 1 || len(s.Cents) > mostNotes || !(s.Cents[len(s.Cents)-1] > 0) {
			t.Fatalf("read %+v", s)
		}
		for _, cents := range s.Cents {
			if !(math.Abs(cents) <= mostCents) {
				t.Fatalf("read %+v", s)
			}
		}
	})
}
