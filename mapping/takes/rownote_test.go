package takes

import (
	"fmt"
	"testing"

	"lapstrake/mapping/takes/measure"
)

// English, German and fixed-do names of notes, in semitones above C (handbook values); ordinary words are none.
func TestNotesInNames(t *testing.T) {
	for name, want := range map[string][]int{
		"Geige G4.wav": {7}, "horn_Bb2_loud.wav": {10}, "Ds1v10.flac": {3}, "cello F#3.wav": {6}, "B4.wav": {11, 10},
		"Posaune H3.wav": {11}, "Fis4.wav": {6}, "Cis3.wav": {1}, "Es2.wav": {5, 3},
		"As3.wav": {10, 8}, "Ges4.wav": {6},
		"Flöte c'.wav": {0}, "Flöte fis''.wav": {6}, "Kontra A1.wav": {9},
		"do4.wav": {0}, "ré3.wav": {2}, "re\u03013.wav": {2}, "mi5.wav": {4}, "Fá2.wav": {5},
		"flauta sol4.wav": {7}, "lá3.wav": {9},
		"si♭2.wav": {10}, "dó#4.wav": {1}, "k061.wav": {1},
		"A dog.wav": nil, "la mer.wav": nil, "Do it 2.wav": nil, "si senor.wav": nil, "As time goes by.wav": nil,
		"re-take 2.wav": nil,
		"take2.wav":     nil, "mi6agent.wav": nil, "G4 and B4.wav": nil, "G4/bell.wav": nil,
		"Peter's bell.wav": nil, "H12.wav": nil,
	} {
		if got := nameNotes("anna/" + name); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// A name that contradicts what is heard is flagged, in whatever octave, unless the pitch is not sure.
func TestWrongNoteIsFlagged(t *testing.T) {
	for _, c := range []struct {
		name       string
		key        int
		cents      float64
		confidence float64
		want       bool
	}{
		{"Geige G4.wav", 71, 0, 0.9, true},
		{"Geige G4.wav", 67, 0, 0.9, false},
		{"Geige G4.wav", 55, -40, 0.9, false},
		{"Geige G4.wav", 71, 0, 0, false},
		{"Posaune B3.wav", 58, 0, 0.9, false}, // a German B
		{"Posaune H3.wav", 58, 0, 0.9, true},
		{"flauta sol4.wav", 69, 0, 0.9, true},
		{"sol4.wav", 67, 10, 0.9, false},
		{"la mer.wav", 60, 0, 0.9, false},
	} {
		row := NewRow(c.name)
		row.Kind, row.Pitch = measure.Held, measure.Pitch{Hz: hzOf(c.key, c.cents), Confidence: c.confidence}
		sheet := &Sheet{Rows: []Row{row}}
		sheet.setFlags()
		if got := sheet.Rows[0].Has(measure.WrongNote); got != c.want {
			t.Errorf("%s sounding key %d: flagged %v, want %v", c.name, c.key, got, c.want)
		}
	}
}
