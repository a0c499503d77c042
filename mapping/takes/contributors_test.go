// What the builder decides for all takes of a contributor.

package takes

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/project"
)

// contributorYard writes a take sheet of three people and, unless it is "", a contributor sheet.
func contributorYard(t *testing.T, contributors string) (dir, path string) {
	t.Helper()
	dir = t.TempDir()
	path = filepath.Join(dir, project.SheetFile)
	sheet := "take;contributor;credit;gain_db;favour_db\n" +
		"fen-ferriby/bell.wav;;;-1,5;\ntobit-oakum/saw.wav;Tobit Oakum;Mr Oakum;;2\nhum.wav;;;;\n"
	for name, text := range map[string]string{project.SheetFile: sheet, project.ContributorsFile: contributors} {
		if text != "" {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir, path
}

func readYard(t *testing.T, path string) *Sheet {
	t.Helper()
	sheet, err := ReadSheet(path, SheetOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

// What is said of a contributor adds to what is said of each take, and a take's own credit goes first.
func TestContributorsDecideForTheirTakes(t *testing.T) {
	_, path := contributorYard(t, "contributor;favour_db;gain_db;credit\nFEN-Ferriby ;3,5;2;Fen of the ferry\n "+
		"tobit oakum;-1;;Tobit O.\n")
	sheet := readYard(t, path)
	for i, want := range []struct {
		gainDB, favourDB float64
		credit           string
	}{{0.5, 3.5, "Fen of the ferry"}, {0, 1, "Mr Oakum"}, {0, 0, ""}} {
		row := &sheet.Rows[i]
		if row.AllGainDB() != want.gainDB || row.AllFavourDB() != want.favourDB || row.CreditLine() != want.credit {
			t.Errorf("%s: gain %v, favour %v, credit %q; want %v", row.Path, row.AllGainDB(), row.AllFavourDB(),
				row.CreditLine(), want)
		}
	}
	// The take sheet itself does not take them over.
	before, _ := os.ReadFile(path)
	if err := sheet.Save(path); err != nil {
		t.Fatal(err)
	}
	after, _ := os.ReadFile(path)
	if !strings.HasPrefix(string(after), "take;contributor;credit;gain_db;favour_db") ||
		!strings.Contains(string(after), "fen-ferriby/bell.wav;;;-1,5;") {
		t.Errorf("the take sheet was\n%s\nand became\n%s", before, after)
	}
}

// New people get a row at the end, in the dialect that is there; cells and columns of the builder's own stay.
func TestUpdateContributors(t *testing.T) {
	dir, path := contributorYard(t, "")
	sheet := readYard(t, path)
	contributors := filepath.Join(dir, project.ContributorsFile)
	if err := sheet.UpdateContributors(path); err != nil {
		t.Fatal(err)
	}
	first, _ := os.ReadFile(contributors)
	if want := "contributor;credit;gain_db;favour_db;remarks\nfen-ferriby;;;;\nTobit Oakum;;;;\n"; string(
		first) != want {
		t.Errorf("a new sheet is %q, want %q: nobody without a name", first, want)
	}
	own := "\xEF\xBB\xBFphone,contributor,favour_db\r\n0123,Wherry Sal,-3\r\n,,\r\nask,FEN-ferriby,\r\n"
	if err := os.WriteFile(contributors, []byte(own), 0o666); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := sheet.UpdateContributors(path); err != nil {
			t.Fatal(err)
		}
		if again, _ := os.ReadFile(contributors); string(again) != own+",Tobit Oakum,\r\n" {
			t.Errorf("the sheet became %q, want %q with Tobit Oakum at the end", again, own)
		}
	}
}

// Everything that is wrong in both sheets is told at once, with file, row and column.
func TestBrokenContributorsAreTold(t *testing.T) {
	_, path := contributorYard(t, "contributor;gain_db;favour_db\nfen;loud;\nFen;;99\n")
	if err := os.WriteFile(path, []byte("take;use\na.wav;perhaps\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	_, err := ReadSheet(path, SheetOptions{})
	cell := &CellError{}
	if !errors.As(err, &cell) {
		t.Fatalf("%v, want a CellError", err)
	}
	for _, want := range []string{
		`takes.csv: row 2, column use (B): found "perhaps"`,
		`contributors.csv: row 2, column gain_db (B): found "loud"`,
		`contributors.csv: row 3, column favour_db (C): found "99", expected dB from -12 to 12`,
		`contributors.csv: row 3, column contributor (A): found "fen", expected each contributor once, ` +
			`and row 2 is about it already; delete one of the two rows`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
	_, path = contributorYard(t, "name;gain_db\nfen;1\n")
	if _, err := ReadSheet(path, SheetOptions{}); err == nil ||
		!strings.Contains(err.Error(), "expected a header with a column named contributor") {
		t.Errorf("without the column contributor: %v", err)
	}
}

// A person who has no takes any more leaves with all cells, and comes back with them.
func TestMoveContributors(t *testing.T) {
	text := "phone;contributor;gain_db\n;fen-ferriby;1\n0123;Tobit Oakum;-2,5\n"
	dir, path := contributorYard(t, text)
	away := t.TempDir()
	sheet := readYard(t, path)
	gone := sheet.TakeOut([]string{"tobit-oakum/saw.wav"})
	names := []string{"tobit oakum", "fen-ferriby"}
	if err := sheet.MoveContributors(dir, away, names); err != nil {
		t.Fatal(err)
	}
	here, _ := os.ReadFile(filepath.Join(dir, project.ContributorsFile))
	there, _ := os.ReadFile(filepath.Join(away, project.ContributorsFile))
	if string(here) != "phone;contributor;gain_db\n;fen-ferriby;1\n" ||
		string(there) != "phone;contributor;gain_db\n0123;Tobit Oakum;-2,5\n" {
		t.Errorf("here %q, there %q; want the row of Tobit Oakum there alone", here, there)
	}
	gone.TakeOut([]string{"tobit-oakum/saw.wav"})
	if err := gone.MoveContributors(away, dir, names); err != nil {
		t.Fatal(err)
	}
	if back, _ := os.ReadFile(filepath.Join(dir, project.ContributorsFile)); string(back) != text {
		t.Errorf("back again: %q, want %q", back, text)
	}
	if _, err := os.Stat(filepath.Join(away, project.ContributorsFile)); err == nil {
		t.Error("an empty sheet stays behind")
	}
}
