// The sheet of marks survives spreadsheets, and what is broken in it is told by row and cell.

package mark

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// kept writes a mark without sound into a project folder.
func kept(t *testing.T, dir, remark string) Row {
	t.Helper()
	played := mapping.New()
	zone := mapping.Zone{Rank: "C", Root: 60, Low: 49, High: 60, Beds: map[string][]string{}}
	for _, layer := range played.Layers {
		zone.Beds[layer] = []string{"beds/" + layer + "-a.wav", "beds/" + layer + "-b.wav"}
	}
	played.Zones = append(played.Zones, zone)
	text, err := played.Encode()
	if err != nil {
		t.Fatal(err)
	}
	m := &Mark{Version: version, When: time.Now(), Quality: "standard", Map: string(text), Frame: 48000 * 3 / 2,
		Audible: []Take{{"ida/bell.wav", "ida", 2}, {"tom/saw.wav", "tom", 1}, {"ida/cup.wav", "ida", 0.5}}}
	m.Begin.Controls.Values[1] = 64
	m.Events = []Event{{Frame: 48000, Message: [3]byte{0xB0, 1, 90}}}
	if err := m.Reserve(dir); err != nil {
		t.Fatal(err)
	}
	row, err := m.Keep(dir, Row{Remark: remark, Performance: "evening.mid"})
	if err != nil {
		t.Fatal(err)
	}
	return row
}

func sheetText(t *testing.T, dir string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, project.MarksFile))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func put(t *testing.T, dir, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, project.MarksFile), []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func TestRowsSayWhatWasMarked(t *testing.T) {
	dir := t.TempDir()
	kept(t, dir, "=1+1")
	if !strings.Contains(sheetText(t, dir), ",'=1+1,") {
		t.Errorf("a remark may run as a formula: %s", sheetText(t, dir))
	}
	rows, err := ReadRows(dir)
	if err != nil || len(rows) != 1 {
		t.Fatal(rows, err)
	}
	r := rows[0]
	if r.Number != 1 || r.Remark != "=1+1" || r.AtSec != 1.5 || r.Dynamics != 90 || r.Loudest != "ida, tom" ||
		r.Performance != "evening.mid" || !strings.HasPrefix(r.Takes, "ida/bell.wav (2 sones); tom/saw.wav") {
		t.Errorf("read back %+v", r)
	}
}

// A spreadsheet of a country with decimal commas saved it, with columns moved and one added, rows sorted and one
// deleted. A new mark is put behind what is there, in the same dialect, and no number is given twice.
func TestSpreadsheetsMayRewriteTheSheet(t *testing.T) {
	dir := t.TempDir()
	for range 3 {
		kept(t, dir, "")
	}
	want := "mark;at_s;remark;my own;when;keys;dynamics;controllers;loudest;takes;places;beds;performance\r\n" +
		"2;1,5;höher; x ;28.11.26;;90,0;;;;;;\r\n" +
		";;;a heading of my own;;;;;;;;;\r\n" +
		"1;;\"a; b\";;;;;;;;;;\r\n"
	put(t, dir, want)
	rows, err := ReadRows(dir)
	if err != nil || len(rows) != 2 || rows[0].AtSec != 1.5 || rows[0].Dynamics != 90 || rows[0].Remark != "höher" ||
		rows[1].Remark != "a; b" || rows[1].Dynamics != -1 {
		t.Fatalf("%+v, %v", rows, err)
	}
	if row := kept(t, dir, "new"); row.Number != 4 {
		t.Errorf("mark %d, want 4: number 3 was given, though its row is gone", row.Number)
	}
	after, found := strings.CutPrefix(strings.ReplaceAll(sheetText(t, dir), `" x "`, " x "), want)
	if !found || !strings.HasPrefix(after, "4;1,500000;new;;") || strings.Count(after, "\r\n") != 1 {
		t.Errorf("the sheet became\n%s", sheetText(t, dir))
	}
}

func TestBrokenSheets(t *testing.T) {
	head := strings.Join(rowColumns, ",")
	for text, want := range map[string]string{
		"mark,when\n1,now\n": "row 1, column remark: found",
		head + ",Mark\n": "row 1, column mark (M): found \"Mark\", expected each column " +
			"once",
		head + "\n0" + strings.Repeat(",", 11):      `row 2, column mark (A): found "0"`,
		head + "\n1.5" + strings.Repeat(",", 11):    `row 2, column mark (A): found "1.5"`,
		head + "\n1,,,,128,,,,,,,\n":                `row 2, column dynamics (E): found "128", expected 0 to 127`,
		head + "\n1,,,,,,,,,,,\n\n1,,,,,,,,,,,-1\n": `row 4, column at_s (L): found "-1"`,
		head + "\n1,,,,,,,,,,,\n1,,,,,,,,,,,\n": "row 3, column mark (A): found \"1\", expected each mark once, " +
			"and row 2",
		head + "\n1,,,,,,,,,,,,,x\n":    `row 2, column M: found "", expected 12 cells`,
		head + "\n1,\"open,,,,,,,,,,\n": "row 2, column B: found a double quote that is never closed",
		"PK\x03\x04":                    "a spreadsheet's own format",
		head + "\n,,lost,,,,,,,,,\n":    `row 2, column mark (A): found ""`,
		head + "\n1,,,,x,,,,,,,y\n":     `row 2, column at_s (L): found "y"`,
	} {
		dir := t.TempDir()
		put(t, dir, text)
		if _, err := ReadRows(dir); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
		if err := (&Mark{}).Reserve(dir); err == nil {
			t.Errorf("%q: a mark was reserved", text)
		}
		if sheetText(t, dir) != text {
			t.Errorf("%q was written over", text)
		}
	}
	dir := t.TempDir()
	put(t, dir, head+"\n1,,,,128,,,,,,,y\n")
	_, err := ReadRows(dir)
	if cell := (*takes.CellError)(nil); !errors.As(err, &cell) || cell.Row != 2 ||
		strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("two broken cells: %v", err)
	}
}

// The file of a mark that was damaged or made up is refused, and never leads the player astray.
func TestBrokenFilesOfMarks(t *testing.T) {
	dir := t.TempDir()
	kept(t, dir, "")
	data, err := os.ReadFile(Path(dir, 1))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new, want string }{
		{"", "", ""}, {`"version":1`, `"version":2`, "version 2"},
		{`"mark":1`, `"mark":7`, "found mark 7, expected 1"},
		{`"quality":"standard"`, `"quality":"golden"`, "golden"}, {`"channel":0`, `"channel":17`, "channel 17"},
		{`"frame":72000`, `"frame":-1`, "frame -1"},
		{`[176,1,90]`, `[242,1,90]`, "events[0]: found the bytes f2 01 5a"},
		{`"frame":48000`, `"frame":72000`, "events[0]: found frame 72000"}, {`"events"`, `"happenings"`, "happenings"},
		{"rate_hz = 48000", "rate_hz = 4", "rate_hz"}, {"}\n", "", "unexpected EOF"}, {"}\n", "}{}", "found more"},
	} {
		changed := strings.Replace(string(data), c.old, c.new, 1)
		if err := os.WriteFile(Path(dir, 1), []byte(changed), 0o666); err != nil {
			t.Fatal(err)
		}
		_, err := Read(dir, 1)
		if (c.want == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s for %s: %v, want %q", c.new, c.old, err, c.want)
		}
	}
}

// FuzzParse: whatever a file holds, it is refused, or what it says of its frames holds together.
func FuzzParse(f *testing.F) {
	f.Add([]byte(`{"version":1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := parse(data)
		if err != nil {
			return
		}
		for i := range m.Events {
			if m.Events[i].Frame < m.Begin.Frame || m.Events[i].Frame >= m.Frame {
				t.Errorf("event %d at frame %d of %d to %d", i, m.Events[i].Frame, m.Begin.Frame, m.Frame)
			}
		}
	})
}
