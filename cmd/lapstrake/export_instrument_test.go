// An export explains itself: an instrument that reads it alone plays as the player does.

//go:build linux && cgo

package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
)

// A score of dynamics, both volumes, bend, releases in and after the attack, and a key that is struck again, on real
// beds with a fade at seams, once more in a tuning of 19 notes, and with nudged zones: what the small instrument makes
// of the export alone is the player's sound within −60 dB.
func TestExportExplainsItself(t *testing.T) {
	t.Parallel()
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	explains(t, yard)
	explains(t, inNineteenNotes(t, yard))
	nudged := copyOf(t, yard)
	path := filepath.Join(nudged, mapping.FileName)
	m, err := mapping.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	zones := m.ZonesAt(50)
	if err := mapping.KeepNudges(path, m, map[mapping.ZoneName]mapping.Nudge{
		m.Zones[zones[0]].Name():         {Start: 0.3, LevelDB: -4.5, TuneCents: 17},
		m.Zones[zones[1]].Name():         {Start: m.Zones[zones[1]].Start, TuneCents: -8},
		m.Zones[m.ZonesAt(67)[0]].Name(): {Silent: true},
	}); err != nil {
		t.Fatal(err)
	}
	explains(t, nudged)
}

// inNineteenNotes is a copy of a project whose map divides the octave into 19 equal steps.
func inNineteenNotes(t *testing.T, yard string) string {
	t.Helper()
	tuned := copyOf(t, yard)
	scale := "nineteen\n19\n"
	for note := 1; note <= 19; note++ {
		scale += fmt.Sprintf("%.6f\n", float64(note)*1200/19)
	}
	file := filepath.Join(t.TempDir(), "nineteen.scl")
	if err := os.WriteFile(file, []byte(scale), 0o666); err != nil {
		t.Fatal(err)
	}
	runs(t, "map", tuned, "--tuning", file, "--reference", "69=442", "--zones-by", "pitch")
	return tuned
}

// explains plays the score on a project and on its export.
func explains(t *testing.T, yard string) {
	t.Helper()
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	runs(t, "export", yard, "-o", out, "--parts", "wav")
	m, err := mapping.Load(filepath.Join(yard, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	at := func(sec float64) int { return int(sec * float64(m.RateHz)) }
	score := []playedMessage{
		{0, 0xB0, 7, 110}, {0, 0x90, 50, 100}, {at(0.1), 0x90, 57, 60}, {at(0.4), 0xB0, 1, 20},
		{at(0.7), 0xB0, 1, 120},
		{at(0.8), 0xE0, 12000, 0}, {at(1), 0xB0, 11, 90}, {at(1.1), 0x80, 50, 0}, {at(1.2), 0x90, 67, 100},
		{at(1.22), 0x80, 67, 0},
		{at(1.3), 0x90, 57, 90}, {at(1.5), 0xE0, 8192, 0}, {at(1.6), 0xB0, 1, 64}, {at(1.7), 0x80, 57, 0},
	}
	frames := at(2.5)
	sounds := rendered(t, yard, score, frames, m.RateHz)
	sides := openSmall(t, out, float64(m.RateHz)).play(t, frames, score)
	left, whole := 0.0, 0.0
	for side := range sounds {
		for k, sample := range sounds[side] {
			whole += float64(sample) * float64(sample)
			left += math.Pow(sides[side][k]-float64(sample), 2)
		}
	}
	nullDB := 10 * math.Log10(left/whole)
	t.Logf("null: %.1f dB", nullDB)
	if !(nullDB <= -60) {
		t.Errorf("what the export says gives a sound that differs by %.1f dB from the player's, want −60 at most",
			nullDB)
	}
}

// eventsOf are the events of a score.
func eventsOf(score []playedMessage) []engine.Event {
	var events []engine.Event
	for _, s := range score {
		switch frame, a, b := int64(s.frame), byte(s.a), byte(s.b); s.kind {
		case 0x90:
			events = append(events, engine.NoteOn(frame, 0, a, b))
		case 0x80:
			events = append(events, engine.NoteOff(frame, 0, a))
		case 0xB0:
			events = append(events, engine.Control(frame, 0, a, b))
		default:
			events = append(events, engine.Bend(frame, 0, s.a))
		}
	}
	return events
}
