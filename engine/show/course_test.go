package show_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"lapstrake/engine/show"
	"lapstrake/mapping/testsound"
)

// What is told of a moment is what its cycles are away from a whole turn. A single cycle is back after each turn.
func TestNearest(t *testing.T) {
	chord := yardChord(t, yardBedSec, yardBedSec, 60, 60-11)
	shorter, longer := chord.Cycles[0].CycleSec, chord.Cycles[1].CycleSec
	for _, back := range chord.Nearest(20*longer, 5, 1) {
		turnsA, turnsB := back.BestSec/shorter, back.BestSec/longer
		worst := max(math.Abs(turnsA-math.Round(turnsA)), math.Abs(turnsB-math.Round(turnsB)))
		if !testsound.Within(worst, back.WorstTurns, 1e-9) ||
			!testsound.Within(chord.AwayTurns(back.BestSec), worst, 1e-12) {
			t.Errorf("%.3f s: %v turns, want %v", back.BestSec, back.WorstTurns, worst)
		}
	}
	one := yardChord(t, yardBedSec, yardBedSec, 60)
	nearest := one.Nearest(12, 9, 1)
	if len(nearest) != 3 {
		t.Fatalf("%+v, want the three turns of 3.5 s within 12 s", nearest)
	}
	for i, back := range nearest {
		if !testsound.Within(back.BestSec, 3.5*float64(i+1), 1e-9) || back.WorstTurns > 1e-9 {
			t.Errorf("turn %d is back at %v s, %v turns away", i+1, back.BestSec, back.WorstTurns)
		}
	}
	if sec := one.CourseSec(); sec < 7 || sec > 12*3.5 {
		t.Errorf("%v s are drawn, want the first return in view and more than a turn after it", sec)
	}
}

// Drawings are SVGs that carry their letters and need nothing else; their words stay words. On a page the inks are the
// page's.
func TestCourseAsSVG(t *testing.T) {
	course := &show.Course{Title: "Course & turns", Chord: yardChord(t, yardBedSec, yardBedSec, 60, 55), Seconds: 30}
	var file bytes.Buffer
	if err := show.WriteSVG(&file, course); err != nil {
		t.Fatal(err)
	}
	inline, err := show.InlineSVG(course)
	if err != nil {
		t.Fatal(err)
	}
	for name, svg := range map[string]string{"file": file.String(), "inline": inline} {
		words := svgWords(t, svg)
		for _, want := range []string{
			"Course & turns", "C4 from C4, rank C", "G3 from C4, rank C", "bed a", "bed b",
			"time (seconds)", "nearest: ",
		} {
			if !strings.Contains(words, want) {
				t.Errorf("%s: %q is not said in %q", name, want, words)
			}
		}
		if strings.Count(words, "\n25\n") != 1 {
			t.Errorf("%s: the time axis says 25 s %d times, want once below all panels", name,
				strings.Count(words, "\n25\n"))
		}
		if strings.Contains(strings.ReplaceAll(svg, "http://www.w3.org/2000/svg", ""), "http") {
			t.Errorf("%s: something comes from outside", name)
		}
	}
	if !strings.Contains(file.String(), "@font-face") || strings.Contains(inline, ":#") {
		t.Error("a file carries its letters, and a page decides all inks")
	}
}

// svgWords checks that an SVG is well-formed and lists its words, each on a line.
func svgWords(t *testing.T, svg string) string {
	t.Helper()
	words := "\n"
	decoder := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return words
		}
		if err != nil {
			t.Fatal(err)
		}
		if text, ok := token.(xml.CharData); ok && strings.TrimSpace(string(text)) != "" {
			words += string(text) + "\n"
		}
	}
}
