// Intake as a builder meets it: recordings come, change, move and go; the sheet is edited in between.

package takes

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/project"
)

func TestFirstIntake(t *testing.T) {
	y := newYard(t)
	y.put("bob/a.wav", tone(1))
	y.put("anna/a.wav", tone(2))
	y.put("anna/deep/b.wav", tone(3))
	y.put("z.wav", tone(4))
	before := y.files()
	report := y.intake()
	if got, want := paths(report.Sheet), "anna/a.wav anna/deep/b.wav bob/a.wav z.wav"; got != want ||
		report.Measured != 4 {
		t.Errorf("takes %s, %d measured; want %s, 4", got, report.Measured, want)
	}
	row := y.row("anna/deep/b.wav")
	if row.Contributor != "anna" || !row.Use || row.Key != -1 || row.RateHz != 32000 || row.Bits != 16 ||
		row.Seconds < 0.5 || row.Number != 3 {
		t.Errorf("the row is %+v", row)
	}
	if hz := row.Hz(); hz < 99.5 || hz > 100.5 {
		t.Errorf("pitch %v, want 100 Hz", hz)
	}
	if y.row("z.wav").Contributor != "" {
		t.Error("a take outside any folder has a contributor")
	}
	// New are the two sheets.
	if after := y.files(); !strings.Contains(after, before[:strings.Index(before, "\n")]) ||
		strings.Count(after, "\n") != strings.Count(before, "\n")+2 {
		t.Errorf("files after\n%s\nbefore\n%s", after, before)
	}
}

// The second time nothing is decoded and nothing written.
func TestSecondIntakeMeasuresNothing(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.put("anna/b.wav", tone(2))
	y.intake()
	before := y.files()
	if report := y.intake(); report.Measured != 0 || len(report.New)+len(report.Changed)+len(report.Moved) > 0 {
		t.Errorf("the second intake says %+v", report)
	}
	if after := y.files(); after != before {
		t.Errorf("files after\n%s\nbefore\n%s", after, before)
	}
}

// The builder's day: columns of his own, an order of his own, a spreadsheet with semicolons; then takes are edited,
// renamed, removed and added.
func TestIntakeKeepsWhatIsTheBuilders(t *testing.T) {
	y := newYard(t)
	for i, name := range []string{"anna/a.wav", "anna/b.wav", "bob/c.wav", "bob/d.wav"} {
		y.put(name, tone(i))
	}
	y.intake()
	d := dialect{separator: ';', decimalComma: true, lineEnd: "\r\n"}
	y.saveSheet(string(d.join([][]string{
		{"shelf", "credit", "take", "gain_db", "contributor", "sha256"},
		{"top", "Bob; with thanks", "bob/d.wav", "-1,5", "Bob Marsh", y.row("bob/d.wav").Hash},
		{"", "", "", "", "", ""},
		{"low", "Anna", "anna/b.wav", "", "", y.row("anna/b.wav").Hash},
		{"mid", "Carl\nand Co.", "bob/c.wav", "2", "", y.row("bob/c.wav").Hash},
		{"end", "Anna again", "anna/a.wav", "", "", y.row("anna/a.wav").Hash},
		{"sum: 4", "", "", "", "", ""},
	})))
	y.put("anna/b.wav", tone(50))           // edited
	y.move("bob/d.wav", "guests/bob/d.wav") // renamed
	if err := os.Remove(y.place("anna/a.wav")); err != nil {
		t.Fatal(err)
	}
	y.put("dora/new.wav", tone(60))
	report := y.intake()
	if fmt.Sprint(report.Changed, report.Moved,
		report.New) != "[anna/b.wav] [{bob/d.wav guests/bob/d.wav}] [dora/new.wav]" {
		t.Errorf("changed %v, moved %v, new %v", report.Changed, report.Moved, report.New)
	}
	rows := tableOf(t, []byte(y.sheet()))
	want := [][]string{
		{"shelf", "credit", "take", "gain_db", "contributor"},
		{"top", "Bob; with thanks", "guests/bob/d.wav", "-1,5", "Bob Marsh"},
		{"", "", "", "", ""},
		{"low", "Anna", "anna/b.wav", "", ""},
		{"mid", "Carl\nand Co.", "bob/c.wav", "2", ""},
		{"end", "Anna again", "anna/a.wav", "", ""},
		{"", "", "dora/new.wav", "", "dora"},
		{"sum: 4", "", "", "", ""},
	}
	if len(rows) != len(want) {
		t.Fatalf("%d rows, want %d:\n%s", len(rows), len(want), y.sheet())
	}
	for i := range want {
		if !slices.Equal(rows[i][:5], want[i]) {
			t.Errorf("row %d: %q, want %q", i+1, rows[i][:5], want[i])
		}
	}
	measured := 0
	for i := range columns {
		if columns[i].owner != theBuilder {
			measured++
		}
	}
	if len(rows[0]) != 5+measured {
		t.Errorf("columns %q: want the builder's five and all measured ones", rows[0])
	}
	if missing := y.row("anna/a.wav"); !missing.Missing || missing.Hash == "" || missing.Usable() {
		t.Errorf("the removed take: missing %v, hash %q", missing.Missing, missing.Hash)
	}
	if !strings.Contains(y.sheet(), ";") || !strings.Contains(y.sheet(), "\r\n") ||
		strings.HasPrefix(y.sheet(), marks[utf8Mark]) {
		t.Error("the sheet is written in another dialect than it was found in")
	}
}

// A take that is gone keeps its row, and what was measured, for it may come back.
func TestTakeThatComesBack(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.intake()
	y.edit("anna/a.wav", "credit", "Anna")
	y.intake()
	before := y.sheet()
	if err := os.Remove(y.place("anna/a.wav")); err != nil {
		t.Fatal(err)
	}
	report := y.intake()
	if found := report.Findings(); len(found) != 1 || found[0].Flag != Missing || found[0].Row != 2 {
		t.Errorf("findings %+v, want the missing take", found)
	}
	if row := y.row("anna/a.wav"); !row.Missing || row.Usable() || row.Credit != "Anna" {
		t.Errorf("missing %v, credit %q", row.Missing, row.Credit)
	}
	y.put("anna/a.wav", tone(1))
	if report := y.intake(); report.Measured != 0 || y.sheet() != before {
		t.Errorf("back again: %d measured, sheet\n%s\nwas\n%s", report.Measured, y.sheet(), before)
	}
}

// A measured cell that somebody changed is measured anew; a measured column that somebody deleted is back.
func TestMeasuredCellsAreRestored(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.put("anna/b.wav", tone(2))
	y.intake()
	before := y.sheet()
	for title, cell := range map[string]string{"loudness_lufs": "-3", "pitch_hz": "Jan 03", "suggested_layer": "loud",
		"measured_kind": "", "sha256": "", "measures_check": "", "several_pitches": "maybe"} {
		y.edit("anna/b.wav", title, cell)
		if report := y.intake(); report.Measured != 1 {
			t.Errorf("%s changed to %q: %d takes measured, want 1", title, cell, report.Measured)
		}
		if y.sheet() != before {
			t.Errorf("%s changed to %q is not restored:\n%s\nwant\n%s", title, cell, y.sheet(), before)
		}
	}
	rows := tableOf(t, []byte(before))
	at := slices.Index(rows[0], "peak_dbfs")
	for i := range rows {
		rows[i] = slices.Delete(rows[i], at, at+2)
	}
	d := newDialect()
	y.saveSheet(string(d.join(rows)))
	if y.intake(); y.sheet() != before {
		t.Error("two deleted columns are not back in their place")
	}
}

// Broken cells: the sheet stays, byte for byte.
func TestIntakeRefusesBrokenCells(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.put("anna/b.wav", tone(2))
	y.intake()
	y.edit("anna/a.wav", "use", "sometimes")
	y.edit("anna/b.wav", "key", "Q4")
	before := y.files()
	_, err := Intake(y.t.Context(), y.dir, IntakeOptions{})
	var cell *CellError
	if !errors.As(err, &cell) || !strings.Contains(err.Error(), "row 2, column use (B)") ||
		!strings.Contains(err.Error(), "row 3, column key (J)") {
		t.Errorf("%v, want both cells", err)
	}
	if y.files() != before {
		t.Error("files were changed")
	}
}

// What the builder saves while takes are measured is not overwritten.
func TestSheetSavedWhileMeasuring(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.intake()
	y.put("anna/b.wav", tone(2))
	edited := false
	_, err := Intake(y.t.Context(), y.dir, IntakeOptions{Progress: func(part float64) {
		if !edited && part > 0.5 {
			edited = true
			y.edit("anna/a.wav", "credit", "Anna Reed")
		}
	}})
	if err != nil || !edited || y.row("anna/a.wav").Credit != "Anna Reed" || y.row("anna/b.wav").RateHz == 0 {
		t.Errorf("%v, edited %v; the sheet is\n%s", err, edited, y.sheet())
	}
}

// Progress never goes back and ends at 1.
func TestProgress(t *testing.T) {
	y := newYard(t)
	for i := range 5 {
		y.put(fmt.Sprintf("anna/%d.wav", i/2), tone(i/2))
	}
	y.put("anna/none.wav", nil)
	last := 0.0
	_, err := Intake(y.t.Context(), y.dir, IntakeOptions{Progress: func(part float64) {
		if part < last {
			t.Errorf("progress falls from %v to %v", last, part)
		}
		last = part
	}})
	if err != nil || last < 0.999 || last > 1.001 {
		t.Errorf("%v, progress ends at %v", err, last)
	}
}

func TestUnsignedContributors(t *testing.T) {
	y := newYard(t)
	for i, name := range []string{"anna/a.wav", "anna/b.wav", "bob/c.wav", "carl/d.wav"} {
		y.put(name, tone(i))
	}
	y.intake()
	y.edit("anna/a.wav", "credit", "Anna")
	y.edit("bob/c.wav", "credit", "Bob")
	y.edit("bob/c.wav", "consent", "CC0, by mail on 3 May")
	y.edit("carl/d.wav", "use", "no")
	got := fmt.Sprint(y.intake().Sheet.Unsigned())
	if want := "[{anna [anna/a.wav anna/b.wav] 1 2}]"; got != want {
		t.Errorf("unsigned %s, want %s", got, want)
	}
}

func TestNoFolderOfTakes(t *testing.T) {
	dir := t.TempDir()
	if _, err := Intake(t.Context(), dir, IntakeOptions{}); err == nil ||
		!strings.Contains(err.Error(), filepath.Join(dir, project.TakesFolder)+": no folder of takes") {
		t.Errorf("no takes/: %v", err)
	}
	if _, err := Intake(t.Context(), filepath.Join(dir, "none"), IntakeOptions{}); err == nil ||
		!strings.Contains(err.Error(), "no such folder") {
		t.Errorf("no project: %v", err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) > 0 {
		t.Errorf("left behind: %v", entries)
	}
}

// An intake that is broken off leaves the sheet as it was.

// Ended early, an intake keeps what it has measured and leaves every other row as it is; the next measures the rest
// alone.
func TestIntakeThatIsEndedKeepsItsMeasures(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.put("anna/b.wav", tone(2))
	y.intake()
	y.edit("anna/b.wav", "credit", "Anna")
	const newTakes = 8
	for i := range newTakes {
		y.put(fmt.Sprintf("bob/%d.wav", i), tone(i+3))
	}
	ctx, stop := context.WithCancel(t.Context())
	report, err := Intake(ctx, y.dir, IntakeOptions{Progress: func(part float64) {
		if part > 0.4 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) || report == nil || report.Measured == 0 || report.Measured == newTakes {
		t.Fatalf("error %v, report %+v; want the context's error and some of the takes measured", err, report)
	}
	if !strings.Contains(y.sheet(), "anna/b.wav,yes,anna,Anna,") || strings.Contains(y.sheet(), "missing") {
		t.Errorf("the rows from before are not as they were:\n%s", y.sheet())
	}
	again := y.intake()
	if again.Measured != newTakes-report.Measured || len(again.Sheet.Rows) != newTakes+2 {
		t.Errorf("measured %d, then %d; %d rows; want %d takes measured once each", report.Measured, again.Measured,
			len(again.Sheet.Rows), newTakes)
	}
}
