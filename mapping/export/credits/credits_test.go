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
	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/export/testyard"
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
		return beds.BedHeard{Bed: bed, Heard: arrange.Heard{AudibleSec: sec}}
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

func yardCredits() *Credits { return join(yardRows(), yardHeard(), nil, testyard.Map()) }

// Everyone whose takes sound is named, and nobody else, with the keys that play them and the seconds in those beds.
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
	if sec, beds := c.Takes[1].Audible(); sec != 2 || beds != 1 {
		t.Errorf("the spoon is heard for %v s in %d beds of the instrument, want 2 s in 1: its other bed is not in it", sec, beds)
	}
	winch := c.Takes[3].Places
	if len(winch) != 2 || winch[0].Layer != "loud" || winch[0].Strand != "a" || winch[0].Root != 36 || !slices.Equal(winch[0].Keys, []mapping.KeyRange{{Low: 25, High: 36}}) {
		t.Errorf("the winch sounds at %+v", winch)
	}
	if want := "beds/loud-a-k042.wav"; !slices.Contains(c.Unknown, want) || len(c.Unknown) != 6 {
		t.Errorf("beds that nobody knows: %q, want 6 with %s", c.Unknown, want)
	}
	text := string(c.Text("Yard", "", testyard.Map().MiddleC))
	for _, line := range []string{
		"with the sounds of Ama Fennimere; gone; Old Strake; silent.", "  Winch (old-strake/winch.wav)\n    CC BY-NC 4.0\n    heard for 10 s in 2 beds: loud a on C#1 to C2; loud b on C#2 to C3",
		"the take sheet has no row for it any more", "no licence or consent is noted", "No ledger tells whose takes these beds hold: beds/loud-a-k042.wav, ",
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

// A bed that several zones and layers play counts as one bed. A bed that no build made holds unknown takes, whatever the ledger
// says of its name. A credit of several lines becomes one line.
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
	if sec, beds := c.Takes[0].Audible(); sec != 4 || beds != 1 {
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
	if want := []string{"Ama Fennimere", "ama", "ama/mug.wav", "'=Mug", "by letter", "read the words", "soft", "a", "42", "F#2", "G1 to F#2", "beds/soft-a-k042.wav", "7.0"}; !slices.Equal(rows[1], want) {
		t.Errorf("row %q, want %q", rows[1], want)
	}
}

// The terms that words give. Names of licences: Creative Commons (creativecommons.org/licenses) and their identifiers in the
// SPDX list; the phrases are common practice.
func TestTerms(t *testing.T) {
	const (
		free, unread, doubtful = "free to use", "read the words", "read the words: some refusal or condition"
		nc, nd, sa, private    = "not commercial", "not to be changed", "share alike", "private use at most"
	)
	for said, consents := range map[string][]string{
		free: {"CC0", "CC0-1.0", "public domain", "CC BY 4.0", "cc-by-3.0", "Creative Commons BY 4.0", "https://creativecommons.org/licenses/by/4.0/",
			"https://creativecommons.org/publicdomain/zero/1.0/", "Attribution 4.0 International", "attribution required", "commercial and non-commercial use", "both commercial and non-commercial use allowed",
			"No attribution needed, commercial use OK", "no credit required, commercial use allowed", "CC0 (our own), no credit, commercial fine", "commercial use welcome",
			"no objection to commercial use, all fine", "private and commercial use allowed", "no rights reserved", "may be sold, no questions asked", "CC0, personally recorded",
			"CC BY 4.0 (no changes needed)", "without restriction", "not restricted in any way"},
		sa: {"CC BY-SA 4.0", "Attribution-ShareAlike 4.0"},
		nc: {"CC-BY-NC-4.0", "(CC) BY/NC", "CC BY-NC4.0", "CC-BY-NC4", "CC BY 4.0, NC", "CC-NC", "BY-NC 4.0", "https://creativecommons.org/licenses/by-nc/4.0/", "Creative Commons BY-NC 4.0",
			"CC BY 4.0 (sound), CC BY-NC 4.0 (tune)", "Please, no commercial use!", "not for any commercial purpose", "not for sale", "may not be used commercially", "non-commercial only",
			"commercial use is not allowed", "commercial use forbidden", "commercial use: prohibited", "commercial use: no", "don't use commercially", "cannot be used commercially",
			"can't be sold", "must not be sold", "do not sell", "never sell this", "non-profit use only", "Noncommercial", "fine for your band, but not for sale", "commercial use isn't allowed", "commercial use isn\u2019t permitted", "you aren't allowed to sell this", "isnt allowed for sale",
			"CC BY 4.0, isn't for sale", "CC BY 4.0, but commercial use disallowed", "everything but commercial use", "any use other than commercial", "commercial use banned", "noncomercial",
			"not agreed: commercial", "agreed: commercial withdrawn 2024", "we agreed: commercial use is out", "agreed: commercial-free use", "dis-agreed: commercial, not for sale"},
		nc + ", " + sa: {"CC BY\u2010NC\u2010SA 4.0", "CC BY–NC–SA 4.0", "CC BY-NCSA", "BY-NC-SA 4.0", "Attribution-NonCommercial-ShareAlike 4.0 International"},
		nd:             {"CC BY-ND", "Attribution-NoDerivatives", "must not be altered", "unchanged use only, no edits"},
		nc + ", " + nd: {"cc by nc nd 4.0 international"},
		private:        {"all rights reserved", "personal use only", "private only", "for private use", "not to be shared", "do not share", "no redistribution", "attribution required, all else reserved"},
		unread:         {"may be used in the boatyard's instrument, by letter", "by word of mouth", "see the envelope"},
		doubtful: {"only in this instrument", "not before spring", "ask me unless it is urgent", "restricted", "not public domain", "CC0? pending", "CC BY 4.0, asked, awaiting answer", "CC BY 4.0, commercial licence available on request", "commercial use ok if you ask me first",
			"commercial use permitted with written consent", "commercial use allowed after payment of 50 euro", "asked by mail 3 May", "waiting for her reply", "consent pending", "expired"},
		"none noted":                      {"", "  ", "no", "None", "n/a", "-", "?", "pending", "not asked", "withdrawn", "revoked", "denied", "declined", "no permission", "not yet", "no answer yet"},
		"agreed: commercial":              {"agreed: commercial", "by telephone, agreed: commercial", "Agreed: Commercial; see letter"},
		"agreed: commercial, " + doubtful: {"only in this instrument, agreed: commercial"},
		"agreed: sharing, " + nc:          {"not for sale; agreed: sharing"},
		"agreed: commercial, " + nc:       {"not for sale; agreed: sharing; agreed: commercial"},
	} {
		for _, consent := range consents {
			terms := ReadTerms(consent)
			if terms.String() != said {
				t.Errorf("%q: %q, want %q (%+v)", consent, terms, said, terms)
			}
			sharing := said == free || said == sa || said == unread || strings.HasPrefix(said, nc) && said != nc+", "+nd || strings.HasPrefix(said, "agreed")
			commercial := said == free || said == sa || said == unread || strings.HasPrefix(said, "agreed: commercial")
			if (terms.Forbids(ForSharing) == "") != sharing || (terms.Forbids(ForCommercial) == "") != commercial {
				t.Errorf("%q: sharing %q, commercial %q; want allowed %v, %v", consent, terms.Forbids(ForSharing), terms.Forbids(ForCommercial), sharing, commercial)
			}
			if why := terms.Forbids(ForPrivate) + terms.Forbids(""); why != "" {
				t.Errorf("%q forbids private use: %s", consent, why)
			}
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

// A project of finished beds has no credits. A project with a sheet needs its ledger. An error in the ledger names its row.
func TestReadCredits(t *testing.T) {
	dir := t.TempDir()
	if c, err := Read(dir, testyard.Map()); c != nil || err != nil {
		t.Errorf("without a sheet: %v, %v", c, err)
	}
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	write("takes.csv", "take,credit,consent\nama/mug.wav,Ama,CC0\n")
	if _, err := Read(dir, testyard.Map()); err == nil || !strings.Contains(err.Error(), "heard.csv: no ledger") {
		t.Errorf("without a ledger: %v", err)
	}
	head := "take,contributor,bed,audible_sec,sounding_sec,best_band_hz,raised_db,moved_semitones,buried\n"
	write("heard.csv", head+"ama/mug.wav,ama,soft-a-k042.wav,7.5,8,440,0,0.00,no\n")
	if c, err := Read(dir, testyard.Map()); err != nil || len(c.Takes) != 0 || len(c.Unknown) != 12 {
		t.Errorf("beds that no build made: %+v, %v", c, err)
	}
	if err := os.Mkdir(filepath.Join(dir, "beds"), 0o777); err != nil {
		t.Fatal(err)
	}
	write("beds/soft-a-k042.wav", "a bed")
	sum := sha256.Sum256([]byte("a bed"))
	write("beds/built.json", fmt.Sprintf(`{"beds": {"soft-a-k042.wav": {"size_bytes": 5, "sha256": %q}}}`, hex.EncodeToString(sum[:])))
	c, err := Read(dir, testyard.Map())
	if err != nil || len(c.Takes) != 1 || c.Takes[0].Name() != "Ama" || len(c.Takes[0].Places) != 1 || c.Takes[0].Places[0].AudibleSec != 7.5 {
		t.Errorf("%+v, %v", c, err)
	}
	for text, says := range map[string]string{
		head + "ama/mug.wav,ama,soft-a-k042.wav,long,8,440,0,0.00,no\n": "heard.csv: row 2: column audible_sec: found \"long\", expected a number",
		"take,bed\n":                         "heard.csv: ",
		strings.Replace(head, "bed", "b", 1): "row 1: found the columns",
	} {
		write("heard.csv", text)
		if _, err := Read(dir, testyard.Map()); err == nil || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), "lapstrake build") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
