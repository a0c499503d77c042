// The screen as it stands on a terminal: whole frames, and what holds for all of them.

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lapstrake/mapping"
)

// played is what the screen shows of a chord of three keys.
func played() status {
	cycle := func(root string, at float64) course {
		bed := 0
		if at > 0.5 {
			bed = 1
		}
		return course{root: root, letters: "ab", begins: []float64{0, 0.5}, at: at, bed: bed}
	}
	silent := cycle("F#4", 0)
	silent.silent = true
	return status{
		held: heldKeys(48, 55, 64), naming: mapping.MiddleC4, voices: 12, dynamics: 64, volumeDB: -3.04,
		outputDB: -2, peakDBFS: -12.3,
		reductionDB: 3.2, loadPercent: 12, worstLoad: 31, underruns: 3, misses: 1, readErrors: 2,
		stolen: 4, recording: true,
		recordedSec: 61.9, latch: true, building: true, builtPercent: 40,
		screenful: screenful{
			layers: []layerShare{{"soft", 71}, {"loud", 29}}, lateEvents: 5, lostEvents: 6,
			transposed: -12, mostZones: 2,
			picks:       "1-2 layers alone    all",
			chordReturn: "in  2:07:50: all cycles within 2 % of a turn of where they began",
			against:     "boatyard plays; e exchanges it for slipway, equally loud", recordingPath: "evening.wav",
			heldKeys: []heldKey{
				{48, "C3", []course{cycle("C3", 0.1), cycle("F#3", 0.52)},
					[]string{"Mira Holm", "Ueli Schär", "the ferry at Sallowfield landing"}},
				{55, "G3", []course{cycle("C4", 0.99), silent}, []string{"小林", "Ama"}},
				{64, "E4", []course{cycle("F#4", 0.49), cycle("C5", 0)}, nil},
			},
		},
	}
}

// drawnOn draws statuses one after the other on a terminal.
func drawnOn(columns, rows int, all ...status) *screen {
	terminal, line := newScreen(columns)
	terminal.height = rows
	for i, s := range all {
		line.show(someTime.Add(time.Duration(i)*statusInterval), s)
	}
	return terminal
}

// The frames of a terminal of 80, 100 and 140 columns stand in testdata, to be read.
func TestScreenFrames(t *testing.T) {
	for _, columns := range []int{80, 100, 140} {
		got := drawnOn(columns, 24, played()).String() + "\n"
		path := filepath.Join("testdata", "screen", fmt.Sprintf("%d.txt", columns))
		want, err := os.ReadFile(path)
		if err != nil {
			t.Error(err)
		}
		if got != string(want) {
			t.Errorf("%s: %d columns:\n%s\nwant\n%s", path, columns, got, want)
		}
	}
}

// Whatever figures change, the screen stays where it is, and no label moves: labels stand in the same columns of the
// same lines.
func TestScreenDoesNotJump(t *testing.T) {
	labels := []string{"level", "dBFS", "ceiling", "dynamics", "soft", "loud", "volume", "output", "transposed",
		"voices", "stolen", "load", "worst", "underruns", "late reads", "lost", "read errors", "maps", "return",
		"sounding", "recording"}
	places := func(text string) map[string]string {
		at := map[string]string{}
		for row, line := range strings.Split(text, "\n") {
			for _, label := range labels {
				if column := strings.Index(line, label); column >= 0 && at[label] == "" {
					at[label] = fmt.Sprint(row, " ", columnsOf(line[:column]))
				}
			}
		}
		return at
	}
	rapid.Check(t, func(t *rapid.T) {
		columns, rows := rapid.IntRange(leastColumns, 200).Draw(t, "columns"), rapid.IntRange(16, 60).Draw(t, "rows")
		want := places(drawnOn(columns, rows, played()).String())
		if len(want) != len(labels) {
			t.Fatalf("%d labels of %d are shown: %v", len(want), len(labels), want)
		}
		all := []status{played()}
		for range 5 {
			s := played()
			number := func(name string) int64 { return rapid.Int64Range(0, 99999).Draw(t, name) }
			s.voices, s.stolen, s.underruns, s.misses = int(number("voices")%1000), number("stolen"),
				number("underruns"), number("misses")
			s.readErrors, s.lateEvents, s.lostEvents = number("read errors"), number("late"), number("lost")
			s.dynamics, s.worstLoad, s.loadPercent = rapid.IntRange(0, 127).Draw(t, "dynamics"), int(number("worst")),
				int(number("load"))
			s.volumeDB, s.outputDB = rapid.Float64Range(-200, 0).Draw(t, "volume"),
				rapid.Float64Range(-40, 6).Draw(t, "output")
			s.peakDBFS, s.reductionDB = rapid.Float64Range(-99, 0).Draw(t, "peak"),
				rapid.Float64Range(0, 40).Draw(t, "reduction")
			s.layers = []layerShare{{"soft", rapid.IntRange(0, 100).Draw(t, "soft")},
				{"loud", rapid.IntRange(0, 100).Draw(t, "loud")}}
			s.transposed, s.latch = rapid.IntRange(-48, 48).Draw(t, "transposed"), rapid.Bool().Draw(t, "latch")
			s.heldKeys = s.heldKeys[:rapid.IntRange(0, 3).Draw(t, "keys")]
			all = append(all, s)
		}
		drawn := drawnOn(columns, rows, all...)
		got := places(drawn.String())
		for _, label := range labels {
			if got[label] != want[label] {
				t.Fatalf("%q moved from %s to %s:\n%s", label, want[label], got[label], drawn)
			}
		}
	})
}

// No word is broken, whatever the width: each that stands there is one of the widest screen's.
func TestScreenBreaksNoWord(t *testing.T) {
	words := map[string]bool{}
	for word := range strings.FieldsSeq(drawnOn(400, 24, played()).String()) {
		words[word] = true
	}
	for columns := leastColumns; columns < 200; columns++ {
		for word := range strings.FieldsSeq(drawnOn(columns, 24, played()).String()) {
			word = strings.TrimSuffix(word, ",")
			if !words[word] && !words[word+","] && strings.Trim(word, ".abAB=|[]") != "" {
				t.Errorf("%d columns: the word %q", columns, word)
			}
		}
	}
}

// A key keeps its row while others come and go; beyond the rows the others are counted.
func TestKeysKeepTheirRows(t *testing.T) {
	keys := func(numbers ...int) (held []heldKey) {
		for _, key := range numbers {
			held = append(held, heldKey{key: key, name: mapping.MiddleC4.Name(key)})
		}
		return held
	}
	var places keyPlaces
	for _, step := range []struct {
		held []heldKey
		want string
		more int
	}{
		{keys(48, 60), "C3 C4 -", 0}, {keys(60), "- C4 -", 0}, {keys(50, 60, 72), "D3 C4 C5", 0},
		{keys(50, 60, 72, 74), "D3 C4 -", 2},
		{keys(72, 74), "C5 D5 -", 0}, {nil, "- - -", 0},
	} {
		placed, more := places.place(step.held, 3)
		var names []string
		for _, k := range placed {
			if k == nil {
				names = append(names, "-")
			} else {
				names = append(names, k.name)
			}
		}
		if got := strings.Join(names, " "); got != step.want || more != step.more {
			t.Errorf("%v: rows %s and %d more, want %s and %d", step.held, got, more, step.want, step.more)
		}
	}
}

// The zone that keys nudge has a line of the screen, and its place in the single line of a small terminal.
func TestTheNudgedZoneIsShown(t *testing.T) {
	s := played()
	s.nudged, s.tried = "F# at F#3: level -4.5 dB", 2
	want := "\nnudge      F# at F#3: level -4.5 dB        2 zones tried; t takes back, k keeps\n"
	if text := drawnOn(80, 24, s).String(); !strings.Contains(text, want) {
		t.Errorf("the screen shows\n%s", text)
	}
	if text := drawnOn(120, 4, s).String(); !strings.Contains(text, s.nudged) || strings.Contains(text, "\n") {
		t.Errorf("the line shows %s", text)
	}
}

// Messages stand above the screen, the last one right above it, and where the terminal gets too small one line stays.
func TestMessagesStandAboveTheScreen(t *testing.T) {
	terminal, line := newScreen(80)
	terminal.height = 24
	line.show(someTime, played())
	line.say("the first")
	line.show(someTime, played())
	line.say("a message that is longer than the screen is wide, and so goes over to a second line below the first")
	text := terminal.String()
	want := "12:00:00  the first\n" +
		"12:00:00  a message that is longer than the screen is wide, and so goes over to\n" +
		"          a second line below the first\n" +
		"level "
	if !strings.HasPrefix(text, want) || strings.Count(text, "level ") != 1 {
		t.Errorf("the screen shows\n%s", text)
	}
	line.help()
	if text := terminal.String(); !strings.Contains(text, "strike again what is held") ||
		strings.Contains(text, "underruns") {
		t.Errorf("the list of keys is not there:\n%s", text)
	}
	line.help()
	terminal.columns = 60
	line.show(someTime, played())
	if text := terminal.String(); strings.Contains(text, "\n") || !strings.Contains(text, "dBFS") {
		t.Errorf("in 60 columns the screen shows\n%s", text)
	}
	line.end()
	if text := terminal.String(); text != "" {
		t.Errorf("in the end the screen shows\n%s", text)
	}
}
