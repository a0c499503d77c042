// Who is credited, where they sound, and what their words allow.

package export

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/takes"
)

func yardRows() []takes.Row {
	row := func(path, credit, title, consent string) takes.Row {
		r := takes.NewRow(path)
		r.Credit, r.Title, r.Consent = credit, title, consent
		return r
	}
	return []takes.Row{
		row("old-strake/winch.wav", "Old Strake", "Winch", "CC BY-NC 4.0"),
		row("ama/mug.wav", "Ama Fennimere", "=Mug", "by letter"),
		row("ama/spoon.wav", "Ama Fennimere", "", "CC0"),
		row("unused/rain.wav", "Nobody", "Rain", "all rights reserved"),
		row("silent/gull.wav", "", "", ""),
	}
}

func yardHeard() []beds.TakeHeard {
	heard := func(bed string, sec float64) beds.BedHeard {
		return beds.BedHeard{Bed: bed, Heard: beds.Heard{AudibleSec: sec}}
	}
	return []beds.TakeHeard{
		{Path: "old-strake/winch.wav", Contributor: "old-strake", Beds: []beds.BedHeard{heard("loud-a-k036.wav", 4), heard("loud-b-k048.wav", 5.5)}},
		{Path: "ama/mug.wav", Contributor: "ama", Beds: []beds.BedHeard{heard("soft-a-k042.wav", 7)}},
		{Path: "ama/spoon.wav", Contributor: "ama", Beds: []beds.BedHeard{heard("soft-b-k042.wav", 2), heard("soft-a-k090.wav", 99)}}, // the latter in no zone
		{Path: "gone/bell.wav", Contributor: "gone", Beds: []beds.BedHeard{heard("soft-b-k036.wav", 1)}},
		{Path: "silent/gull.wav", Contributor: "silent", Beds: []beds.BedHeard{heard("soft-a-k048.wav", 3)}},
		{Path: "nowhere/oar.wav", Contributor: "nowhere", Beds: []beds.BedHeard{heard("soft-a-k090.wav", 3)}},
	}
}

func yardCredits() *Credits { return newCredits(yardRows(), yardHeard(), yardMap()) }

// All that sound and nobody else are named, with the keys that play them and the seconds of those beds.
func TestCreditsNameAllWhoSound(t *testing.T) {
	c := yardCredits()
	var names []string
	for i := range c.Takes {
		names = append(names, c.Takes[i].Name()+" "+c.Takes[i].Path)
	}
	want := []string{"Ama Fennimere ama/mug.wav", "Ama Fennimere ama/spoon.wav", "gone gone/bell.wav", "Old Strake old-strake/winch.wav", "silent silent/gull.wav"}
	if !slices.Equal(names, want) {
		t.Errorf("credited %q, want %q", names, want)
	}
	if sec := c.Takes[1].AudibleSec(); sec != 2 {
		t.Errorf("the spoon is heard for %v s of the instrument, want 2: its other bed is not in it", sec)
	}
	winch := c.Takes[3].Places
	if len(winch) != 2 || winch[0].Layer != "loud" || winch[0].Strand != "a" || winch[0].Root != 36 || !slices.Equal(winch[0].Keys, []KeyRange{{25, 36}}) {
		t.Errorf("the winch sounds at %+v", winch)
	}
	if want := "beds/loud-a-k042.wav"; !slices.Contains(c.Unknown, want) || len(c.Unknown) != 6 {
		t.Errorf("beds that nobody knows: %q, want 6 with %s", c.Unknown, want)
	}
	text := string((&Job{Map: yardMap(), Title: "Yard", Credit: c}).creditsText())
	for _, line := range []string{
		"with the sounds of Ama Fennimere; gone; Old Strake; silent.", "  Winch (old-strake/winch.wav)\n    CC BY-NC 4.0\n    heard for 10 s in 2 beds: loud a on C#1 to C2; loud b on C#2 to C3",
		"the take sheet has no row for it any more", "no licence or consent is noted", "beds/loud-a-k042.wav: no ledger tells whose takes it holds",
		"- 1 of 5 takes: not for commercial use", "- 2 of 5 takes: no licence or consent is noted", "- 1 of 5 takes: terms in words of their own",
	} {
		if !strings.Contains(text, line) {
			t.Errorf("%q is not in\n%s", line, text)
		}
	}
	if strings.Contains(text, "rain") || strings.Contains(text, "oar") {
		t.Errorf("someone is credited who does not sound:\n%s", text)
	}
}

// CREDITS.csv has a row for every place, and no cell that a spreadsheet would run.
func TestCreditsCSV(t *testing.T) {
	data, err := (&Job{Map: yardMap(), Title: "Yard", Credit: yardCredits()}).creditsCSV()
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil || len(rows) != 1+6 {
		t.Fatalf("%v: %d rows, want a header and 6:\n%s", err, len(rows), data)
	}
	if want := []string{"Ama Fennimere", "ama", "ama/mug.wav", "'=Mug", "by letter", "read the words", "soft", "a", "42", "F#2", "G1 to F#2", "beds/soft-a-k042.wav", "7.0"}; !slices.Equal(rows[1], want) {
		t.Errorf("row %q, want %q", rows[1], want)
	}
}

// The terms that words give. Names of licences: Creative Commons (creativecommons.org/licenses) and their identifiers in the
// SPDX list; the phrases are common practice.
func TestTerms(t *testing.T) {
	for _, c := range []struct {
		consent  string
		said     string
		sharing  bool // allowed
		commerce bool
	}{
		{"CC0", "free to use", true, true}, {"CC0-1.0", "free to use", true, true}, {"public domain", "free to use", true, true},
		{"CC BY 4.0", "free to use", true, true}, {"cc-by-3.0", "free to use", true, true},
		{"CC BY-SA 4.0", "share alike", true, true}, {"CC-BY-NC-4.0", "not commercial", true, false},
		{"CC BY\u2010NC\u2010SA 4.0", "not commercial, share alike", true, false}, {"(CC) BY/NC", "not commercial", true, false},
		{"CC BY–NC–SA 4.0", "not commercial, share alike", true, false}, {"CC BY-ND", "not to be changed", false, false}, {"cc by nc nd 4.0 international", "not commercial, not to be changed", false, false},
		{"Attribution-NonCommercial-ShareAlike 4.0 International", "not commercial, share alike", true, false},
		{"Attribution-NoDerivatives", "not to be changed", false, false},
		{"Please, no commercial use!", "not commercial", true, false}, {"not for any commercial purpose", "not commercial", true, false}, {"not for sale", "not commercial", true, false},
		{"may not be used commercially", "not commercial", true, false}, {"non-commercial only", "not commercial", true, false},
		{"no objection to commercial use", "read the words", true, true}, {"commercial use welcome", "read the words", true, true},
		{"all rights reserved", "private use at most", false, false}, {"personal use only", "private use at most", false, false}, {"not to be shared", "private use at most", false, false},
		{"may be used in the boatyard's instrument, by letter", "read the words", true, true}, {"", "none noted", false, false}, {"  ", "none noted", false, false},
	} {
		terms := ReadTerms(c.consent)
		if terms.String() != c.said || (terms.Forbids(ForSharing) == "") != c.sharing || (terms.Forbids(ForCommercial) == "") != c.commerce {
			t.Errorf("%q: %q, sharing %q, commercial %q; want %q, %v, %v", c.consent, terms, terms.Forbids(ForSharing), terms.Forbids(ForCommercial), c.said, c.sharing, c.commerce)
		}
		if why := terms.Forbids(ForPrivate) + terms.Forbids(""); why != "" {
			t.Errorf("%q forbids private use: %s", c.consent, why)
		}
	}
}

// What stands against a use is listed with who and why.
func TestForbidden(t *testing.T) {
	c := yardCredits()
	c.Unknown = c.Unknown[:1]
	for use, want := range map[Use][]string{
		ForCommercial: {"gone/bell.wav (gone): the take sheet has no row for it any more, so no consent is known",
			`old-strake/winch.wav (Old Strake): "CC BY-NC 4.0": not for commercial use`, "silent/gull.wav (silent): no licence or consent is noted",
			"beds/loud-a-k042.wav: no ledger tells whose takes it holds"},
		ForSharing: {"gone/bell.wav (gone): the take sheet has no row for it any more, so no consent is known", "silent/gull.wav (silent): no licence or consent is noted",
			"beds/loud-a-k042.wav: no ledger tells whose takes it holds"},
		ForPrivate: nil, "": nil,
	} {
		if got := c.Forbidden(use); !slices.Equal(got, want) {
			t.Errorf("for %q:\n%s\nwant\n%s", use, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// A project of finished beds has no credits; one with a sheet needs its ledger, and a broken ledger is told with its row.
func TestReadCredits(t *testing.T) {
	dir := t.TempDir()
	if c, err := ReadCredits(dir, yardMap()); c != nil || err != nil {
		t.Errorf("without a sheet: %v, %v", c, err)
	}
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	write("takes.csv", "take,credit,consent\nama/mug.wav,Ama,CC0\n")
	if _, err := ReadCredits(dir, yardMap()); err == nil || !strings.Contains(err.Error(), "heard.csv: no ledger") {
		t.Errorf("without a ledger: %v", err)
	}
	head := "take,contributor,bed,audible_sec,sounding_sec,best_band_hz,raised_db,moved_semitones,buried\n"
	write("heard.csv", head+"ama/mug.wav,ama,soft-a-k042.wav,7.5,8,440,0,0.00,no\n")
	c, err := ReadCredits(dir, yardMap())
	if err != nil || len(c.Takes) != 1 || c.Takes[0].Name() != "Ama" || c.Takes[0].AudibleSec() != 7.5 {
		t.Errorf("%+v, %v", c, err)
	}
	for text, says := range map[string]string{
		head + "ama/mug.wav,ama,soft-a-k042.wav,long,8,440,0,0.00,no\n": "heard.csv: row 2: column audible_sec: found \"long\", expected a number",
		"take,bed\n":                         "heard.csv: ",
		strings.Replace(head, "bed", "b", 1): "row 1: found the columns",
	} {
		write("heard.csv", text)
		if _, err := ReadCredits(dir, yardMap()); err == nil || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), "lapstrake build") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
