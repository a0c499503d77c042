// Checks how a pin is written in the sheet.

package takes

import (
	"strings"
	"testing"

	"lapstrake/mapping"
)

func TestBedsInTheSheet(t *testing.T) {
	for cell, want := range map[string]mapping.BedName{
		"48": {Root: 48}, " c3 ": {Root: 48}, "48.0": {Root: 48}, "0": {Root: 0},
		"soft-a-k048": {Layer: "soft", Strand: "a", Root: 48}, "Loud-b-k7.wav": {Layer: "loud", Strand: "b", Root: 7},
	} {
		row := NewRow("a.wav")
		err := readBed(&row, cell, SheetOptions{})
		if got, pinned := row.PinnedTo(); err != nil || !pinned || got != want {
			t.Errorf("%q: %+v (%v, %v), want %+v", cell, got, pinned, err, want)
		}
	}
	row := NewRow("a.wav")
	if _, pinned := row.PinnedTo(); pinned || readBed(&row, "", SheetOptions{}) != nil {
		t.Error("an empty cell pins nothing")
	}
	for _, cell := range []string{"128", "-3", "mezzo-a-k048", "soft-a", "low"} {
		_, err := parseSheet([]byte("take,bed\na.wav,"+cell+"\n"), "takes.csv", SheetOptions{})
		if err == nil || !strings.Contains(err.Error(),
			`row 2, column bed (B): found "`+cell+`", expected the key or note of a root`) {
			t.Errorf("%q: error %v", cell, err)
		}
	}
}
