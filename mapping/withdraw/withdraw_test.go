// Takes leave a project and come back: whole, with their cells, whatever breaks off in between.

package withdraw

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/testsound"
)

// annasRow is what the builder wrote of anna in contributors.csv.
const annasRow = "anna,Anna of the Slip,-2,,on the slip since spring\n"

// yard is a project folder of three takes of two contributors.
type yard struct {
	t     *testing.T
	dir   string
	sound map[string][]byte // by the takes' paths
}

func newYard(t *testing.T) yard {
	t.Helper()
	p := yard{t, t.TempDir(), map[string][]byte{}}
	for i, path := range []string{"anna/plane.wav", "anna/saw.wav", "bob/sluice.wav"} {
		p.sound[path] = testsound.WavBytes(1, 1, 16000, 16, testsound.Sine16(1, 16000, 8000+1000*i))
		p.put(path, p.sound[path])
	}
	settings := project.Default()
	if err := settings.Save(p.dir); err != nil {
		t.Fatal(err)
	}
	p.intake()
	p.edit(func(row *takes.Row) { row.GainDB = float64(-len(row.Path)) })
	p.write(p.path(project.ContributorsFile), "contributor,credit,gain_db,favour_db,remarks\n"+annasRow+"bob,,,,\n")
	return p
}

func (p yard) path(parts ...string) string {
	return filepath.Join(append([]string{p.dir}, parts...)...)
}

func (p yard) put(take string, data []byte) {
	p.t.Helper()
	path := p.path(project.TakesFolder, take)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o666); err != nil {
		p.t.Fatal(err)
	}
}

func (p yard) intake() {
	p.t.Helper()
	settings := project.Default()
	if _, err := takes.Intake(p.t.Context(), p.dir,
		takes.IntakeOptions{SheetOptions: takes.OptionsOf(&settings)}); err != nil {
		p.t.Fatal(err)
	}
}

func (p yard) sheet() *takes.Sheet {
	p.t.Helper()
	sheet, _, err := readSheet(p.dir)
	if err != nil {
		p.t.Fatal(err)
	}
	return sheet
}

func (p yard) edit(change func(*takes.Row)) {
	p.t.Helper()
	sheet := p.sheet()
	for i := range sheet.Rows {
		change(&sheet.Rows[i])
	}
	if err := sheet.Save(p.path(project.SheetFile)); err != nil {
		p.t.Fatal(err)
	}
}

func (p yard) out(paths ...string) []Take {
	p.t.Helper()
	gone, err := Out(p.dir, paths)
	if err != nil {
		p.t.Fatal(err)
	}
	return gone
}

func (p yard) back(paths ...string) []Take {
	p.t.Helper()
	back, err := Back(p.dir, paths)
	if err != nil {
		p.t.Fatal(err)
	}
	return back
}

// holds checks that a file is a take's, byte for byte.
func (p yard) holds(take string, parts ...string) {
	p.t.Helper()
	data, err := os.ReadFile(p.path(parts...))
	if err != nil || !bytes.Equal(data, p.sound[take]) {
		p.t.Errorf("%s: not %s: %v", filepath.Join(parts...), take, err)
	}
}

// isAsBefore checks that all takes and their cells are as newYard left them.
func (p yard) isAsBefore() {
	p.t.Helper()
	for take := range p.sound {
		p.holds(take, project.TakesFolder, take)
	}
	sheet := p.sheet()
	var paths []string
	for i := range sheet.Rows {
		row := &sheet.Rows[i]
		paths = append(paths, row.Path)
		if row.GainDB != float64(-len(row.Path)) || row.Missing {
			p.t.Errorf("%s: gain %v, missing %v", row.Path, row.GainDB, row.Missing)
		}
	}
	slices.Sort(paths)
	if want := []string{"anna/plane.wav", "anna/saw.wav", "bob/sluice.wav"}; !slices.Equal(paths, want) {
		p.t.Errorf("rows %q, want %q", paths, want)
	}
	contributors, err := os.ReadFile(p.path(project.ContributorsFile))
	if err != nil || strings.Count(string(contributors), annasRow) != 1 {
		p.t.Errorf("contributors.csv holds\n%s\nwant %q in it; %v", contributors, annasRow, err)
	}
	if exists(p.path(project.WithdrawnFolder)) {
		p.t.Error("a folder of withdrawn takes is left")
	}
}

func TestOutMovesTakesUntouchedAndBackBringsThem(t *testing.T) {
	p := newYard(t)
	gone := p.out("anna/plane.wav", "anna/saw.wav")
	if len(gone) != 2 || gone[0].Kept != "withdrawn/1/anna/plane.wav" || gone[0].Hash == "" {
		t.Errorf("gone: %+v", gone)
	}
	p.holds("anna/plane.wav", project.WithdrawnFolder, "1", "anna", "plane.wav")
	p.holds("anna/saw.wav", project.WithdrawnFolder, "1", "anna", "saw.wav")
	if rows := p.sheet().Rows; len(rows) != 1 || rows[0].Path != "bob/sluice.wav" {
		t.Errorf("%d rows are left, want that of bob", len(rows))
	}
	p.out("bob/sluice.wav")
	p.holds("bob/sluice.wav", project.WithdrawnFolder, "2", "bob", "sluice.wav")
	if lying, err := Lying(p.dir, []string{"bob/sluice.wav"}); err != nil || len(lying) != 1 ||
		lying[0].Kept != "withdrawn/2/bob/sluice.wav" {
		t.Errorf("lying: %+v, %v", lying, err)
	}
	if !exists(p.path(project.TakesFolder)) {
		t.Error("the folder of takes is gone")
	}
	p.back("anna/saw.wav")
	p.back("anna/plane.wav", "bob/sluice.wav")
	p.intake()
	p.isAsBefore()
}

// A second run completes a withdrawal that was broken off after the rows were saved, after some of the moves, or
// after all of them.
func TestOutGoesOnWhereItWasBrokenOff(t *testing.T) {
	for moved := range 3 {
		p := newYard(t)
		paths := []string{"anna/plane.wav", "anna/saw.wav"}
		sheet, err := os.ReadFile(p.path(project.SheetFile))
		if err != nil {
			t.Fatal(err)
		}
		p.out(paths...)
		for _, take := range paths[moved:] {
			p.put(take, p.sound[take])
			if err := os.Remove(p.path(project.WithdrawnFolder, "1", take)); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.WriteFile(p.path(project.SheetFile), sheet, 0o666); err != nil {
			t.Fatal(err)
		}
		p.intake()
		if gone := p.out(paths...); len(gone) != 2 || gone[0].Kept == "" || gone[1].Kept == "" {
			t.Errorf("%d moved: gone %+v", moved, gone)
		}
		p.holds("anna/plane.wav", project.WithdrawnFolder, "1", "anna", "plane.wav")
		p.holds("anna/saw.wav", project.WithdrawnFolder, "1", "anna", "saw.wav")
		if exists(p.path(project.WithdrawnFolder, "2")) {
			t.Errorf("%d moved: a second withdrawal", moved)
		}
		p.back(paths...)
		p.intake()
		p.isAsBefore()
	}
}

// A second run completes an undo that was broken off after the sheet was saved, or after the moves.
func TestBackGoesOnWhereItWasBrokenOff(t *testing.T) {
	for moved := range 3 {
		p := newYard(t)
		paths := []string{"anna/plane.wav", "anna/saw.wav"}
		p.out(paths...)
		rows, err := os.ReadFile(p.path(project.WithdrawnFolder, "1", project.SheetFile))
		if err != nil {
			t.Fatal(err)
		}
		p.back(paths...)
		folder := p.path(project.WithdrawnFolder, "1")
		if err := os.MkdirAll(filepath.Join(folder, "anna"), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, project.SheetFile), rows, 0o666); err != nil {
			t.Fatal(err)
		}
		for _, take := range paths[moved:] {
			if err := os.Rename(p.path(project.TakesFolder, take), filepath.Join(folder, take)); err != nil {
				t.Fatal(err)
			}
		}
		p.intake()
		p.back(paths...)
		p.intake()
		p.isAsBefore()
	}
}

// A take that somebody sent under the name of a withdrawn one stays; the withdrawn one does not come back over it, and
// nothing is changed.
func TestBackOntoANameThatIsTaken(t *testing.T) {
	p := newYard(t)
	p.out("anna/plane.wav", "anna/saw.wav")
	other := testsound.WavBytes(1, 1, 16000, 16, testsound.Sine16(1, 16000, 4000))
	p.put("anna/saw.wav", other)
	p.intake()
	sheet, err := os.ReadFile(p.path(project.SheetFile))
	if err != nil {
		t.Fatal(err)
	}
	_, err = Back(p.dir, []string{"anna/plane.wav", "anna/saw.wav"})
	if err == nil || !strings.Contains(err.Error(), "saw.wav: is there already: rename it") {
		t.Errorf("error %v", err)
	}
	if now, err := os.ReadFile(p.path(project.TakesFolder, "anna/saw.wav")); err != nil || !bytes.Equal(now, other) {
		t.Errorf("the take that came was written over: %v", err)
	}
	p.holds("anna/plane.wav", project.WithdrawnFolder, "1", "anna", "plane.wav")
	p.holds("anna/saw.wav", project.WithdrawnFolder, "1", "anna", "saw.wav")
	if now, err := os.ReadFile(p.path(project.SheetFile)); err != nil || !bytes.Equal(now, sheet) {
		t.Errorf("the sheet was changed: %v", err)
	}
	p.out("anna/saw.wav") // the other one is withdrawn, too: both stay
	p.holds("anna/saw.wav", project.WithdrawnFolder, "1", "anna", "saw.wav")
	if now, err := os.ReadFile(p.path(project.WithdrawnFolder, "2", "anna", "saw.wav")); err != nil ||
		!bytes.Equal(now, other) {
		t.Errorf("the second withdrawal: %v", err)
	}
}

// All rows of one file leave and come back together.
func TestAllRowsOfAFileComeBack(t *testing.T) {
	p := newYard(t)
	sheet := p.sheet()
	at := slices.IndexFunc(sheet.Rows, func(row takes.Row) bool { return row.Path == "anna/saw.wav" })
	sheet.Rows[at].ToSec = 0.2
	second := sheet.Rows[at]
	second.Stretch = takes.Stretch{FromSec: 0.2, ToSec: 0.4}
	sheet.Rows = append(sheet.Rows, second)
	if err := sheet.Save(p.path(project.SheetFile)); err != nil {
		t.Fatal(err)
	}
	p.intake()
	names := func() (all []string) {
		for _, row := range p.sheet().Rows {
			all = append(all, row.Name())
		}
		slices.Sort(all)
		return all
	}
	want := names()
	p.out("anna/saw.wav")
	p.back("anna/saw.wav")
	if got := names(); len(want) != 4 || !slices.Equal(got, want) {
		t.Errorf("rows %q, want %q", got, want)
	}
}
