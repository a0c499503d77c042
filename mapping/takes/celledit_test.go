package takes

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// typed are cells as a person would type them, by column.
var typed = map[string][]string{
	"use": {"yes", "no", "", "TRUE"}, "title": {"", "the slip at dawn", `a "bell"; or, two`, "=1+1"},
	"layer":  {"soft", "loud", "both", ""},
	"strand": {"a", "b", ""}, "key": {"", "60", "F#3", "0"}, "gain_db": {"", "3", "-2.5", "-2,5"},
	"keep_partials": {"", "8"},
	"kind":          {"", "struck", "held"}, "favour_db": {"", "6"}, "bed": {"", "48", "soft-a-k048"},
	"remarks":     {"", "listen\nagain", "ö ♯"},
	"contributor": {"", "Wren Ferriby"}, "credit": {"", "W. F."}, "consent": {"", "all rights given"},
}

// A page and a spreadsheet change one sheet, at random, each from what it last saw. Nothing that either
// wrote is lost: the page's edit of a cell that the spreadsheet has changed is refused, all others are there.
func TestNoEditIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp("", "edits-")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		path := filepath.Join(dir, "takes.csv")
		if err := os.WriteFile(path, drawSheet(t).encode(), 0o666); err != nil {
			t.Fatal(err)
		}
		read := func() *Sheet {
			s, err := ReadSheet(path, SheetOptions{})
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		model := read() // what the sheet has to say
		seen := read()  // by the page
		names := slices.Sorted(func(yield func(string) bool) {
			for name := range typed {
				if !yield(name) {
					return
				}
			}
		})
		for range 6 {
			at := rapid.IntRange(0, len(model.Rows)-1).Draw(t, "row")
			name := rapid.SampledFrom(names).Draw(t, "column")
			to := rapid.SampledFrom(typed[name]).Draw(t, "cell")
			switch rapid.SampledFrom([]string{"page", "page", "spreadsheet", "looks"}).Draw(t, "who") {
			case "looks":
				seen = read()
			case "spreadsheet":
				s := read()
				row := &s.Rows[at]
				if columnNamed(name).read(row, to, s.options) != nil {
					t.Fatalf("%s cannot be %q", name, to)
				}
				if name == "contributor" && to == "" {
					row.Contributor = strings.TrimSpace(firstFolder(row.Path))
				}
				model.Rows[at] = *row
				if err := s.Save(path); err != nil {
					t.Fatal(err)
				}
			case "page":
				shown, _ := seen.Cell(&seen.Rows[at], name)
				is, _ := model.Cell(&model.Rows[at], name)
				undo, err := EditSheet(path, SheetOptions{}, []CellEdit{{seen.Rows[at].Name(), name, shown, to}})
				conflict := (*ConflictError)(nil)
				if shown != is {
					if !errors.As(err, &conflict) || conflict.Found != is {
						t.Fatalf("%s held %q and was shown as %q: %v", name, is, shown, err)
					}
					continue
				}
				if err != nil {
					t.Fatal(err)
				}
				if rapid.Bool().Draw(t, "undo") {
					if _, err := EditSheet(path, SheetOptions{}, undo); err != nil {
						t.Fatalf("undoing %+v: %v", undo, err)
					}
				} else {
					columnNamed(name).read(&model.Rows[at], to, model.options)
					if name == "contributor" && to == "" {
						model.Rows[at].Contributor = strings.TrimSpace(firstFolder(model.Rows[at].Path))
					}
				}
				seen = read()
			}
		}
		after := read()
		for i := range model.Rows {
			for _, name := range EditableColumns() {
				want, _ := model.Cell(&model.Rows[i], name)
				if got, _ := after.Cell(&after.Rows[i], name); got != want {
					t.Fatalf("row %d, %s: %q, want %q", i+1, name, got, want)
				}
			}
			if !after.Rows[i].Measured() {
				t.Fatalf("row %d: its measures are lost", i+1)
			}
		}
	})
}

// An edit changes its own cell of the file and no other, whatever the dialect.
func TestAnEditLeavesTheRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := mustParse(t, drawSheet(t).encode()).encode()
		dir, err := os.MkdirTemp("", "edits-")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		path := filepath.Join(dir, "takes.csv")
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		s := mustParse(t, data)
		row := &s.Rows[rapid.IntRange(0, len(s.Rows)-1).Draw(t, "row")]
		from, _ := s.Cell(row, "title")
		if _, err := EditSheet(path, SheetOptions{},
			[]CellEdit{{row.Name(), "title", from, "another title"}}); err != nil {
			t.Fatal(err)
		}
		edited, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		before, after := tableOf(t, data), tableOf(t, edited)
		changed := 0
		for i := range before {
			for j := range before[i] {
				if before[i][j] != after[i][j] {
					changed++
				}
			}
		}
		if len(before) != len(after) || changed > 1 {
			t.Fatalf("%d cells changed, and %d rows of %d are there", changed, len(after), len(before))
		}
	})
}

// What cannot be done is told, and the sheet stays byte for byte: all edits of a call or none.
func TestEditsThatAreRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "takes.csv")
	text := "take;use;key\nhob/bell.wav;yes;\nhob/reed.wav;;60\n"
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	good := CellEdit{"hob/reed.wav", "key", "60", "61"}
	for _, c := range []struct {
		edit CellEdit
		want string
	}{
		{CellEdit{"hob/bell.wav", "key", "", "H9"},
			`row 2, column key (C): found "H9", expected a MIDI key from 0 to 127`},
		{CellEdit{"hob/bell.wav", "key", "59", "60"},
			`hob/bell.wav, column key: found "", expected "59": somebody else has changed it`},
		{CellEdit{"hob/gone.wav", "key", "", "60"}, "hob/gone.wav: is not in the sheet any more"},
		{CellEdit{"hob/bell.wav", "take", "hob/bell.wav", "x.wav"}, `column "take": expected one of [use `},
		{CellEdit{"hob/bell.wav", "pitch_hz", "", "440"}, `column "pitch_hz": expected one of`},
	} {
		_, err := EditSheet(path, SheetOptions{}, []CellEdit{good, c.edit})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %s", c.edit, err, c.want)
		}
		if now, _ := os.ReadFile(path); string(now) != text {
			t.Fatalf("%+v: the sheet is now %q", c.edit, now)
		}
	}
	if _, err := EditSheet(path, SheetOptions{}, []CellEdit{good, {"hob/bell.wav", "title", "", "bell"}}); err != nil {
		t.Fatal(err) // of a column that is not in the sheet
	}
	if s, err := ReadSheet(path, SheetOptions{}); err != nil || s.Rows[0].Title != "bell" || s.Rows[1].Key != 61 {
		t.Errorf("read again: %v", err)
	}
}
