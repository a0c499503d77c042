// The content of CREDITS.txt, for people, and of CREDITS.csv, for spreadsheets.

package credits

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/plural"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/terms"
)

// Text is CREDITS.txt of an instrument; an empty artist is left out. Keys are named as naming says.
func (c *Credits) Text(title, artist string, naming mapping.Naming) []byte {
	var out bytes.Buffer
	names := c.Names()
	fmt.Fprintf(&out, "%s\n", title)
	if artist != "" {
		fmt.Fprintf(&out, "by %s\n", artist)
	}
	if names == nil {
		names = []string{"people of whom nothing is known"}
	}
	fmt.Fprintf(&out, "\nwith the sounds of %s.\n", strings.Join(names, "; "))
	name := ""
	for i := range c.Takes {
		t := &c.Takes[i]
		if t.Name() != name {
			name = t.Name()
			fmt.Fprintf(&out, "\n%s\n", name)
		}
		fmt.Fprintf(&out, "  %s\n    %s\n", t.TitleText(), t.TermsText())
		sec, beds := t.Heard()
		fmt.Fprintf(&out, "    heard for %.0f s of a turn in %s: %s\n", sec, plural.Of(beds, "bed"),
			placesText(t.Places, naming))
	}
	if c.Unknown != nil {
		fmt.Fprintf(&out, "\nThese beds were changed or made by hand, and may hold other sounds than those above: "+
			"%s.\n",
			strings.Join(c.Unknown, ", "))
	}
	if conditions := c.Conditions(); conditions != nil {
		fmt.Fprintf(&out, "\nConditions:\n")
		for _, line := range conditions {
			fmt.Fprintf(&out, "- %s\n", line)
		}
	}
	return out.Bytes()
}

// oneLine joins the lines of a cell, so that they do not look like several entries.
func oneLine(cell string) string { return strings.Join(strings.Fields(cell), " ") }

// Names are all who are to be credited, each once.
func (c *Credits) Names() []string { return NamesOf(c.Takes) }

// NamesOf are all who are to be credited for some takes, each once.
func NamesOf(takes []Take) (names []string) {
	for i := range takes {
		if name := takes[i].Name(); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// TitleText gives the title of a take and its path in a line.
func (c *Take) TitleText() string {
	if c.Title == "" {
		return c.Path
	}
	return oneLine(c.Title) + " (" + c.Path + ")"
}

// TermsText gives the terms of a take in a line, and the words of its consent.
func (c *Take) TermsText() string {
	if c.NoRow {
		return "the take sheet has no row for it any more"
	}
	text := string(c.Terms)
	switch {
	case c.Terms.Open():
		text = "terms are open"
	case c.Terms.AsksForName():
		text += ": the name above goes wherever the sound goes"
	}
	if words := oneLine(c.Consent); words != "" && words != string(c.Terms) {
		text += fmt.Sprintf(" (%q)", words)
	}
	return text
}

// Conditions lists what the terms of the takes ask of the instrument, with the number of takes.
func (c *Credits) Conditions() (lines []string) {
	say := func(line string, holds func(terms.Terms) bool) {
		count := 0
		for i := range c.Takes {
			if holds(c.Takes[i].Terms) {
				count++
			}
		}
		if count > 0 {
			lines = append(lines, fmt.Sprintf("%d of %d takes: %s", count, len(c.Takes), line))
		}
	}
	say("terms are open: ask before anything is shared", terms.Terms.Open)
	say("for private use only", func(t terms.Terms) bool { return t == terms.AgreedPrivate })
	say("for sharing, not for commercial use", func(t terms.Terms) bool { return t == terms.AgreedSharing })
	say("not for commercial use", terms.Terms.NonCommercial)
	say("what is made of it may not be shared, so not as part of an instrument", terms.Terms.NoDerivatives)
	say("share alike: what is shared bears the same licence", terms.Terms.ShareAlike)
	say("a name is owed wherever the sound goes, and a word that it was changed: keep CREDITS.txt with it",
		terms.Terms.AsksForName)
	if alike := c.sharedAlike(); len(alike) > 1 {
		lines = append(lines, "no instrument can bear all of these at once, each of which asks for itself: "+
			strings.Join(alike, ", "))
	}
	return lines
}

// sharedAlike lists the licences that ask to be the instrument's own, each once.
func (c *Credits) sharedAlike() (licences []string) {
	for i := range c.Takes {
		if t := c.Takes[i].Terms; t.ShareAlike() && !slices.Contains(licences, string(t)) {
			licences = append(licences, string(t))
		}
	}
	return licences
}

func placesText(places []Place, naming mapping.Naming) string {
	texts := make([]string, len(places))
	for i, p := range places {
		texts[i] = fmt.Sprintf("%s %s on %s", p.Layer, cmp.Or(p.Title, p.Strand), keysText(p.Keys, naming))
	}
	return strings.Join(texts, "; ")
}

func keysText(keys []mapping.KeyRange, naming mapping.Naming) string {
	texts := make([]string, len(keys))
	for i, k := range keys {
		texts[i] = naming.Name(k.Low) + " to " + naming.Name(k.High)
	}
	return strings.Join(texts, ", ")
}

// CSV is CREDITS.csv: a row for each take and place.
func (c *Credits) CSV(naming mapping.Naming) ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Write([]string{"credit", "contributor", "take", "title", "consent", "terms",
		"layer", "strand", "strand_title", "root", "root_name", "keys", "bed", "heard_sec"})
	for i := range c.Takes {
		t := &c.Takes[i]
		for _, p := range t.Places {
			row := []string{t.Name(), takes.ContributorName(t.Contributor), t.Path, t.Title,
				t.Consent, string(t.Terms), p.Layer, p.Strand, cmp.Or(p.Title, p.Strand), strconv.Itoa(p.Root),
				naming.Name(p.Root), keysText(p.Keys, naming), p.Bed, strconv.FormatFloat(p.HeardSec, 'f', 1, 64)}
			for k := range row {
				row[k] = takes.Defuse(row[k])
			}
			w.Write(row)
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}
