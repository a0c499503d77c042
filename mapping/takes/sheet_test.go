// The sheet comes back from any spreadsheet as it was: cells, columns, order, dialect, measures.

package takes

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// Text of files and folders never starts a formula, and means the same when read again.
func TestNothingFromAFileNameRunsAsAFormula(t *testing.T) {
	s := NewSheet(SheetOptions{})
	s.Rows = []Row{NewRow("=cmd|' /C calc'!A0/@sum.wav"), NewRow("'=1+1/x.wav"), NewRow("+49/-.wav"),
		NewRow("\t=1/x.wav")}
	data := s.encode()
	for _, row := range tableOf(t, data)[1:] {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
				t.Errorf("a cell begins like a formula: %q", cell)
			}
		}
	}
	again := mustParse(t, data)
	for i := range s.Rows {
		if again.Rows[i].Path != s.Rows[i].Path {
			t.Errorf("path %q, want %q", again.Rows[i].Path, s.Rows[i].Path)
		}
	}
}

// What a builder types, in the ways he may type it.
func TestBuildersCells(t *testing.T) {
	s := mustParse(t, []byte("Take ;USE;key;gain_db;layer;strand;keep_partials;credit\r\n"+
		"a.wav;No;F#3;−3,5;SOFT;;3;\"Anna; with her\"\"bell\"\"\"\r\n;;;;;;;\r\n"+
		"b/c.wav;;60.0;+2.5;both;b;;\r\n"))
	a, b := s.Rows[0], s.Rows[1]
	if a.Use || a.Key != 54 || a.GainDB != -3.5 || a.Layer != "soft" || a.KeepPartials != 3 ||
		a.Credit != `Anna; with her"bell"` || a.Contributor != "" {
		t.Errorf("first row: %+v", a)
	}
	if !b.Use || b.Key != 60 || b.GainDB != 2.5 || b.Layer != Both || b.Strand != "b" ||
		b.Contributor != "b" || b.Number != 4 {
		t.Errorf("second row: %+v", b)
	}
	c3, err := parseSheet([]byte("take,key\na.wav,F#3\n"), "takes.csv", SheetOptions{MiddleC: mapping.MiddleC3})
	if err != nil || c3.Rows[0].Key != 66 {
		t.Errorf("F#3 with middle C as C3: %v, %v, want 66", c3, err)
	}
	var lines []string
	for line := range strings.Lines(string(s.encode())) {
		lines = append(lines, line)
	}
	for i, want := range []string{"Take ;USE;key;gain_db;layer;strand;keep_partials;credit;",
		"a.wav;No;F#3;−3,5;SOFT;;3;\"Anna; with her\"\"bell\"\"\";", ";", "b/c.wav;;60.0;+2,5;both;b;;;"} {
		if !strings.HasPrefix(strings.Replace(lines[i], `"Take "`, "Take ", 1), want) ||
			!strings.HasSuffix(lines[i], "\r\n") {
			t.Errorf("row %d is written as %q, want it to begin with %q as found", i+1, lines[i], want)
		}
	}
}

// All broken cells are told at once, each with row, column, what was found and what was expected.
func TestBrokenCells(t *testing.T) {
	_, err := parseSheet([]byte("take,use,key,gain_db,layer,strand,keep_partials,remarks,pitch_hz\n"+
		"a.wav,perhaps,H3,loud,mezzo,c,-1,,\n\n"+
		"a.wav,,128,61,,,2.5,,not a number\n"+
		",,,,,,,a take without a path,\n"+
		"../x.wav,,,nan,,,,,\n"+
		"d.wav,,,,,,,x,,y\n"), "yard/takes.csv", SheetOptions{})
	if err == nil {
		t.Fatal("no error")
	}
	found := strings.Split(err.Error(), "\n")
	want := []string{
		`row 2, column use (B): found "perhaps", expected yes or no; an empty cell means yes`,
		`row 2, column key (C): found "H3", expected a MIDI key from 0 to 127, a name such as F#3 with ` +
			`middle C (key 60) as C4, or nothing`,
		`row 2, column gain_db (D): found "loud", expected dB from -60 to 60, or nothing`,
		`row 2, column layer (E): found "mezzo", expected soft, loud, both, or nothing to take the suggestion`,
		`row 2, column strand (F): found "c", expected a, b, both, or nothing`,
		`row 2, column keep_partials (G): found "-1", expected how many partials to keep, 1 to 1000, or ` +
			`nothing for all`,
		`row 4, column key (C): found "128"`,
		`row 4, column gain_db (D): found "61"`,
		`row 4, column keep_partials (G): found "2.5"`,
		`row 4, column take (A): found "a.wav", expected each take once, and row 2 is about it already`,
		`row 5, column take (A): found "", expected the path of a file inside takes/`,
		`row 6, column take (A): found "../x.wav"`,
		`row 6, column gain_db (D): found "nan"`,
		`row 7, column J: found "y", expected 9 cells, as the header has`,
	}
	if len(found) != len(want) {
		t.Errorf("%d errors, want %d:\n%v", len(found), len(want), err)
	}
	for i := range want {
		if i < len(found) && !strings.HasPrefix(found[i], "yard/takes.csv: "+want[i]) {
			t.Errorf("error %d: %s\nwant %s", i, found[i], want[i])
		}
	}
	var cell *CellError
	if !errors.As(err, &cell) || cell.Row != 2 || cell.Column != "use" {
		t.Errorf("the errors are no CellErrors: %#v", cell)
	}
}

// Files that are no sheet say what they are and how to save them.
func TestNoSheet(t *testing.T) {
	for name, c := range map[string]struct{ data, want string }{
		"nothing":   {"", "a header with a column named take"},
		"other CSV": {"name,age\nanna,9\n", "row 1, column take: found \"name | age\""},
		"twice": {"take,use,Use\n", "row 1, column use (C): found \"Use\", expected each column once, and use " +
			"stands in column B already"},
		"workbook": {"PK\x03\x04\x14\x00",
			"found a spreadsheet's own format, expected CSV text; save the sheet as CSV in UTF-8"},
		"damaged": {"take,credit\na.wav,Zo\u00eb J\xF6rg\n",
			"line 2: found the byte 0xF6, which is no text in UTF-8 or Windows-1252; save the sheet as CSV in UTF-8"},
		"no code": {"take,credit\na.wav,J\xF6rg \x81\n", "line 2: found the byte 0x81, which is no text"},
		"binary":  {"take\x00", "line 1: found the byte 0x00"},
		"open quote": {"take,credit\n\na.wav,\"Anna\nb.wav,\n",
			"row 3, column B: found a double quote that is never closed"},
		"stray quote": {"take,credit\na.wav,\"Anna\" B.\n",
			"row 2, column B: found text behind a closing double quote"},
		"half UTF-16": {"\xFF\xFEt\x00a\x00k\x00e", "found UTF-16 that is damaged"},
		"lone half":   {"\xFF\xFEt\x00a\x00k\x00e\x00\n\x00\x00\xD8", "found UTF-16 that is damaged"},
	} {
		if _, err := parseSheet([]byte(c.data), "takes.csv", SheetOptions{}); err == nil ||
			!strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
	if _, err := ReadSheet(filepath.Join(t.TempDir(), project.SheetFile), SheetOptions{}); !errors.Is(err,
		fs.ErrNotExist) || !strings.Contains(err.Error(), "lapstrake intake") {
		t.Errorf("no file: %v", err)
	}
}

// A file that would not change keeps its time, so that nothing that watches it wakes.
func TestSaveLeavesAnEqualFileAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), project.SheetFile)
	s := NewSheet(SheetOptions{})
	s.Rows = []Row{NewRow("anna/bell.wav")}
	if err := s.Save(path); err != nil {
		t.Fatal(err)
	}
	before, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := mustRead(t, path).Save(path); err != nil {
		t.Fatal(err)
	}
	after, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if !os.SameFile(before, after) {
		t.Error("the file was written anew though nothing changed")
	}
}

func mustRead(t rapid.TB, path string) *Sheet {
	t.Helper()
	s, err := ReadSheet(path, SheetOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A sheet in the code page of western Europe's spreadsheets is read, and saved as UTF-8 with the rest of its ways.
// The bytes are those of the standard's table (0x80 is the euro sign, 0x96 the en dash).
func TestWindows1252(t *testing.T) {
	path := filepath.Join(t.TempDir(), "takes.csv")
	found := "take;credit;remarks\r\njoerg/a.wav;J\xF6rg Gro\xDF;\x80 5 \x96 bezahlt\r\n"
	if err := os.WriteFile(path, []byte(found), 0o666); err != nil {
		t.Fatal(err)
	}
	sheet, err := ReadSheet(path, SheetOptions{})
	if err != nil || !sheet.Windows1252() {
		t.Fatalf("Windows-1252: %v, error %v; want true", sheet.Windows1252(), err)
	}
	if row := sheet.Rows[0]; row.Credit != "Jörg Groß" || row.Remarks != "€ 5 – bezahlt" {
		t.Errorf("read as %q and %q", row.Credit, row.Remarks)
	}
	if err := sheet.Save(path); err != nil {
		t.Fatal(err)
	}
	saved, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"\uFEFFtake;credit;remarks;", "\r\njoerg/a.wav;Jörg Groß;€ 5 – bezahlt;"} {
		if !strings.Contains(string(saved), want) {
			t.Errorf("saved as %q; want it to hold %q", saved, want)
		}
	}
	if again, err := ReadSheet(path, SheetOptions{}); err != nil || again.Windows1252() {
		t.Errorf("read again: error %v, or Windows-1252 still", err)
	}
}
