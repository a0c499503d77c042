// Who is credited, where their takes sound, and what their words allow.

package credits

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/terms"
)

func yardRows() []takes.Row {
	row := func(path, credit, title, consent string, allows terms.Terms) takes.Row {
		r := takes.NewRow(path)
		r.Credit, r.Title, r.Consent, r.Terms = credit, title, consent, allows
		return r
	}
	return []takes.Row{
		row("old-strake/winch.wav", "Old Strake", "Winch", "by e-mail", "CC-BY-NC-4.0"),
		row("ama/mug.wav", "Ama Fennimere", "=Mug", "agreed: commercial", ""),
		row("ama/spoon.wav", "Ama Fennimere", "", "", "CC0-1.0"),
		row("unused/rain.wav", "Nobody", "Rain", "", terms.Refused),
		row("silent/gull.wav", "", "", "not for sale", "CC-BY-4.0"),
	}
}

func yardHeard() []beds.TakeHeard {
	heard := func(bed string, sec float64) beds.BedHeard {
		return beds.BedHeard{Bed: bed, At: []beds.HeardAt{{Dynamics: 0, Sec: 1}, {Dynamics: 64, Sec: sec}}}
	}
	return []beds.TakeHeard{
		{Path: "old-strake/winch.wav", Contributor: "old-strake",
			Beds: []beds.BedHeard{heard("loud-a-k036.wav", 4), heard("loud-b-k048.wav", 5.5)}},
		{Path: "ama/mug.wav", Contributor: "ama", Beds: []beds.BedHeard{heard("soft-a-k042.wav", 7)}},
		// the latter in no zone
		{Path: "ama/spoon.wav", Contributor: "ama",
			Beds: []beds.BedHeard{heard("soft-b-k042.wav", 2), heard("soft-a-k090.wav", 99)}},
		{Path: "gone/bell.wav", Contributor: "gone", Beds: []beds.BedHeard{heard("soft-b-k036.wav", 1)}},
		{Path: "silent/gull.wav", Contributor: "silent", Beds: []beds.BedHeard{heard("soft-a-k048.wav", 3)}},
		{Path: "nowhere/oar.wav", Contributor: "nowhere", Beds: []beds.BedHeard{heard("soft-a-k090.wav", 3)}},
	}
}

func yardCredits() *Credits { return join(yardRows(), yardHeard(), nil, testyard.Map()) }

// Everyone whose takes sound is named, and nobody else, with the keys that play them and the seconds in those beds.
func TestCreditsNameAllWhoSound(t *testing.T) {
	c := yardCredits()
	var names []string
	for i := range c.Takes {
		names = append(names, c.Takes[i].Name()+" "+c.Takes[i].Path)
	}
	want := []string{"Ama Fennimere ama/mug.wav", "Ama Fennimere ama/spoon.wav", "gone gone/bell.wav",
		"Old Strake old-strake/winch.wav", "silent silent/gull.wav"}
	if !slices.Equal(names, want) {
		t.Errorf("credited %q, want %q", names, want)
	}
	if sec, beds := c.Takes[1].Heard(); sec != 2 || beds != 1 {
		t.Errorf("the spoon is heard for %v s in %d beds of the instrument, want 2 s in 1: its other bed is not in it",
			sec, beds)
	}
	winch := c.Takes[3].Places
	if len(winch) != 2 || winch[0].Layer != "loud" || winch[0].Strand != "a" || winch[0].Root != 36 ||
		!slices.Equal(winch[0].Keys, []mapping.KeyRange{{Low: 25, High: 36}}) {
		t.Errorf("the winch sounds at %+v", winch)
	}
	if want := "beds/loud-a-k042.wav"; !slices.Contains(c.Unknown, want) || len(c.Unknown) != 6 {
		t.Errorf("beds that nobody knows: %q, want 6 with %s", c.Unknown, want)
	}
	text := string(c.Text("Yard", "", testyard.Map().MiddleC))
	for _, line := range []string{
		"with the sounds of Ama Fennimere; gone; Old Strake; silent.",
		"  Winch (old-strake/winch.wav)\n    CC-BY-NC-4.0: the name above goes wherever the sound goes (\"by " +
			"e-mail\")\n    heard for 10 s of a turn in 2 beds: loud a on C#1 to C2; loud b on C#2 to C3",
		"the take sheet has no row for it any more", "terms are open (\"agreed: commercial\")",
		"These beds were changed or made by hand, and may hold other sounds than those above: beds/loud-a-k042.wav, ",
		"- 1 of 5 takes: not for commercial use", "- 2 of 5 takes: terms are open", "- 2 of 5 takes: a name is owed",
	} {
		if !strings.Contains(text, line) {
			t.Errorf("%q is not in\n%s", line, text)
		}
	}
	if strings.Contains(text, "rain") || strings.Contains(text, "oar") {
		t.Errorf("someone is credited who does not sound:\n%s", text)
	}
}

// A bed that several zones and layers play counts as one bed. A bed that no build made holds unknown takes, whatever
// the ledger says of its name. A credit of several lines becomes one line.
func TestCreditsOfBeds(t *testing.T) {
	m, rows := testyard.Map(), yardRows()
	for i := range m.Zones {
		m.Zones[i].Beds["soft"] = m.Zones[i].Beds["loud"]
	}
	rows[0].Credit = "Old\nStrake "
	c := join(rows, yardHeard(), []string{"beds/loud-b-k048.wav"}, m)
	if len(c.Takes) != 1 || c.Takes[0].Name() != "Old Strake" || len(c.Takes[0].Places) != 2 {
		t.Fatalf("credited are %+v", c.Takes)
	}
	if sec, beds := c.Takes[0].Heard(); sec != 4 || beds != 1 {
		t.Errorf("heard for %v s in %d beds, want 4 s in 1", sec, beds)
	}
	if !slices.Contains(c.Unknown, "beds/loud-b-k048.wav") {
		t.Errorf("beds that nobody knows: %q", c.Unknown)
	}
}

// CREDITS.csv has a row for every place, and no cell that a spreadsheet would run.
func TestCreditsCSV(t *testing.T) {
	data, err := yardCredits().CSV(testyard.Map().MiddleC)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil || len(rows) != 1+6 {
		t.Fatalf("%v: %d rows, want a header and 6:\n%s", err, len(rows), data)
	}
	if want := []string{"Ama Fennimere", "ama", "ama/mug.wav", "'=Mug", "agreed: commercial", "", "soft", "a", "a",
		"42", "F#2", "G1 to F#2", "beds/soft-a-k042.wav", "7.0"}; !slices.Equal(rows[1], want) {
		t.Errorf("row %q, want %q", rows[1], want)
	}
}

// What stands against a use is listed with who and why.
func TestForbidden(t *testing.T) {
	c := yardCredits()
	c.Unknown = c.Unknown[:1]
	const (
		gone = "gone/bell.wav (gone): the take sheet has no row for it any more, so no terms are known"
		mug  = `ama/mug.wav (Ama Fennimere): terms are open; consent "agreed: commercial", ` +
			`suggested terms agreed-commercial`
		gull = "silent/gull.wav (silent): CC-BY-4.0 asks for a name: fill in the column credit"
		bed  = "beds/loud-a-k042.wav: no ledger tells whose takes it holds"
	)
	for use, want := range map[terms.Use][]string{
		terms.ForCommercial: {mug, gone, "old-strake/winch.wav (Old Strake): CC-BY-NC-4.0: not for commercial use",
			gull, bed},
		terms.ForSharing: {mug, gone, gull, bed},
		terms.ForPrivate: nil, "": nil,
	} {
		if got := c.Forbidden(use); !slices.Equal(got, want) {
			t.Errorf("for %q:\n%s\nwant\n%s", use, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// The words of a consent decide nothing, but what they may refuse is told.
func TestDoubts(t *testing.T) {
	want := []string{`silent/gull.wav (silent): terms CC-BY-4.0, but consent "not for sale": not for commercial use`}
	if got := yardCredits().Doubts(terms.ForCommercial); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// Two licences that each ask to be the instrument's own cannot both be kept.
func TestShareAlikeOfTwoLicences(t *testing.T) {
	c := &Credits{Takes: []Take{{Terms: "CC-BY-SA-4.0"}, {Terms: "CC-BY-NC-SA-4.0"}}}
	if lines := c.Conditions(); !slices.ContainsFunc(lines,
		func(l string) bool { return strings.HasSuffix(l, "CC-BY-SA-4.0, CC-BY-NC-SA-4.0") }) {
		t.Errorf("%q", lines)
	}
}

// A project of finished beds has no credits. A project with a sheet needs its ledger. An error in the ledger names its
// row.
func TestReadCredits(t *testing.T) {
	dir := t.TempDir()
	if c, err := Read(dir, testyard.Map(), 0); c != nil || err != nil {
		t.Errorf("without a sheet: %v, %v", c, err)
	}
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	write("takes.csv", "take,credit,consent\nama/mug.wav,Ama,CC0\n")
	if _, err := Read(dir, testyard.Map(), 0); err == nil || !strings.Contains(err.Error(), "heard.csv: no ledger") {
		t.Errorf("without a ledger: %v", err)
	}
	head := "take,contributor,from_s,to_s,bed,bed_s,heard_s_at_0,stands_out_at_0,heard_s_at_64,stands_out_at_64," +
		"heard_s_at_127,stands_out_at_127,buried,raised_db,brought_out,tuned,moved_semitones\n"
	write("heard.csv", head+"ama/mug.wav,ama,,,soft-a-k042.wav,15,7.5,0.25 to 8 by 3.5,2.5,,,,no,0,,yes,0.00\n")
	if c, err := Read(dir, testyard.Map(), 0); err != nil || len(c.Takes) != 0 || len(c.Unknown) != 12 {
		t.Errorf("beds that no build made: %+v, %v", c, err)
	}
	if err := os.Mkdir(filepath.Join(dir, "beds"), 0o777); err != nil {
		t.Fatal(err)
	}
	write("beds/soft-a-k042.wav", "a bed")
	sum := sha256.Sum256([]byte("a bed"))
	write("beds/built.json", fmt.Sprintf(`{"beds": {"soft-a-k042.wav": {"size_bytes": 5, "sha256": %q}}}`,
		hex.EncodeToString(sum[:])))
	c, err := Read(dir, testyard.Map(), 0)
	if err != nil || len(c.Takes) != 1 || c.Takes[0].Name() != "Ama" || len(c.Takes[0].Places) != 1 ||
		c.Takes[0].Places[0].HeardSec != 7.5 {
		t.Errorf("%+v, %v", c, err)
	}
	for text, says := range map[string]string{
		head + "ama/mug.wav,ama,,,soft-a-k042.wav,15,long,,2.5,,,,no,0,,yes,0.00\n": "heard.csv: row 2: column " +
			"heard_s_at_0: found \"long\", expected a number",
		head + "ama/mug.wav,ama,,,soft-a-k042.wav,15,7.5,late,2.5,,,,no,0,,yes,0.00\n": "heard.csv: row 2: column " +
			"stands_out_at_0: found \"late\", expected stretches",
		"take,bed\n":                         "heard.csv: ",
		strings.Replace(head, "bed", "b", 1): "row 1: found the columns",
	} {
		write("heard.csv", text)
		if _, err := Read(dir, testyard.Map(), 0); err == nil || !strings.Contains(err.Error(), says) ||
			!strings.Contains(err.Error(), "lapstrake build") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
