// Checks that the builder decides what a take does, in new sheets and in those of before.

package takes

import (
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/takes/measure"
)

// older is a sheet as it was written when kind was a measured column.
func (y yard) older() string {
	y.t.Helper()
	rows := tableOf(y.t, []byte(y.sheet()))
	for _, name := range newColumns {
		at := slices.Index(rows[0], name)
		for i := range rows {
			rows[i] = slices.Delete(rows[i], at, at+1)
		}
	}
	rows[0][slices.Index(rows[0], measuredKindName)] = kindColumnName
	d := newDialect()
	return string(d.join(rows))
}

func TestTheBuilderDecidesTheKind(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.intake()
	measured := y.row("anna/a.wav").Kind
	y.edit("anna/a.wav", "kind", "Noisy")
	if report := y.intake(); report.Measured != 0 {
		t.Errorf("%d takes measured, want none: a decision changes no measure", report.Measured)
	}
	row := y.row("anna/a.wav")
	if row.UsedKind() != measure.Noisy || row.Kind != measured || !row.Measured() ||
		!strings.Contains(y.sheet(), ",Noisy,") {
		t.Errorf("kind %q, measured %q: want noisy and %q, and the cell as it was written", row.UsedKind(),
			row.Kind, measured)
	}
	y.edit("anna/a.wav", "kind", "")
	if row := y.row("anna/a.wav"); row.UsedKind() != measured {
		t.Errorf("kind %q for an empty cell, want the measured %q", row.UsedKind(), measured)
	}
	y.edit("anna/a.wav", "kind", "plucked")
	_, err := Intake(t.Context(), y.dir, IntakeOptions{})
	if want := `row 2, column kind (M): found "plucked", expected struck, held, noisy, or nothing`; err == nil ||
		!strings.Contains(err.Error(), want) {
		t.Errorf("error %v, want %s", err, want)
	}
}

// A sheet of before is as measured as it was; it becomes the sheet that a new intake would write.
func TestOldSheetsLoseNothing(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.put("anna/b.wav", tone(2))
	y.intake()
	y.edit("anna/a.wav", "remarks", "by the slip")
	now := y.sheet()
	old := y.older()
	y.saveSheet(old)
	if report := y.intake(); report.Measured != 0 || y.sheet() != now {
		t.Errorf("%d takes measured, sheet\n%s\nwant none and\n%s", report.Measured, y.sheet(), now)
	}
	// Somebody said struck where held was measured, and saw it undone.
	kind := string(y.row("anna/a.wav").Kind)
	other := "struck"
	if kind == other {
		other = "held"
	}
	y.saveSheet(old)
	y.edit("anna/b.wav", "kind", other)
	if report := y.intake(); report.Measured != 0 {
		t.Errorf("%d takes measured, want none", report.Measured)
	}
	if row := y.row("anna/b.wav"); string(row.SaidKind) != other || string(row.Kind) != kind || !row.Measured() {
		t.Errorf("said %q, measured %q: want %q and %q", row.SaidKind, row.Kind, other, kind)
	}
	if row := y.row("anna/a.wav"); row.SaidKind != "" {
		t.Errorf("nothing was said of the other take, found %q", row.SaidKind)
	}
}

// A sheet that a person begins by hand has a kind of theirs.
func TestKindOfASheetByHand(t *testing.T) {
	s := mustParse(t, []byte("take,kind\nanna/a.wav,struck\n"))
	if s.Rows[0].SaidKind != measure.Struck || s.Rows[0].Kind != "" {
		t.Errorf("said %q, measured %q", s.Rows[0].SaidKind, s.Rows[0].Kind)
	}
}
