// The column terms comes into a sheet of an earlier version once, beside consent.

package takes

import (
	"path/filepath"
	"strings"
	"testing"
)

func TestTermsComeIntoOldSheetsOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "takes.csv")
	parse := func(text string) *Sheet {
		sheet, err := parseSheet([]byte(text), path, SheetOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return sheet
	}
	old := string(parse("take,consent,title\na.wav,\"by mail, agreed: commercial\",Oar\n").encode())
	if want := "take,consent,terms,title,suggested_terms,"; !strings.Contains(old, want) {
		t.Errorf("an old sheet becomes %q, want %q in it", old, want)
	}
	if want := "a.wav,\"by mail, agreed: commercial\",,Oar,agreed-commercial,"; !strings.Contains(old, want) {
		t.Errorf("an old sheet becomes %q, want %q in it", old, want)
	}
	if deleted := string(parse("take,consent,suggested_terms\na.wav,CC0,\n").encode()); strings.Contains(
		deleted, ",terms,") {
		t.Errorf("a column that the builder deleted is back: %q", deleted)
	}
}

// A row that leaves takes all its cells along, and brings them back into a sheet of other columns.
func TestRowsLeaveAndComeBack(t *testing.T) {
	parse := func(text string) *Sheet {
		sheet, err := parseSheet([]byte(text), "takes.csv", SheetOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return sheet
	}
	sheet := parse("take,shelf,gain_db,consent,terms\na.wav,top,-3.5,by mail,agreed-sharing\nb.wav,low,,,\n")
	out := sheet.TakeOut([]string{"a.wav"})
	if text := string(sheet.encode()); strings.Contains(text, "a.wav") || strings.Contains(text, "by mail") {
		t.Errorf("something of the row stayed: %q", text)
	}
	other := parse("terms;consent;take;gain_db;shelf\n;;b.wav;1,5;low\n")
	other.TakeIn(parse(string(out.encode())))
	if text, want := string(other.encode()), "\nagreed-sharing;by mail;a.wav;-3,5;top;"; !strings.Contains(text,
		want) {
		t.Errorf("%q is not in %q", want, text)
	}
}
