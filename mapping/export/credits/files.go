// The content of CREDITS.txt, for people, and of CREDITS.csv, for spreadsheets.

package credits

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/takes"
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
		title := t.Path
		if t.Title != "" {
			title = oneLine(t.Title) + " (" + t.Path + ")"
		}
		fmt.Fprintf(&out, "  %s\n", title)
		switch {
		case t.NoRow:
			fmt.Fprintf(&out, "    the take sheet has no row for it any more\n")
		case t.Consent != "":
			fmt.Fprintf(&out, "    %s\n", oneLine(t.Consent))
		default:
			fmt.Fprintf(&out, "    no licence or consent is noted\n")
		}
		sec, beds := t.Audible()
		fmt.Fprintf(&out, "    heard for %.0f s in %d beds: %s\n", sec, beds, placesText(t.Places, naming))
	}
	if c.Unknown != nil {
		fmt.Fprintf(&out, "\nNo ledger tells whose takes these beds hold: %s.\n", strings.Join(c.Unknown, ", "))
	}
	if conditions := c.Conditions(); conditions != nil {
		fmt.Fprintf(&out, "\nConditions, as far as the words were understood; the words themselves decide:\n")
		for _, line := range conditions {
			fmt.Fprintf(&out, "- %s\n", line)
		}
	}
	return out.Bytes()
}

// oneLine joins the lines of a cell, so that they do not look like several entries.
func oneLine(cell string) string { return strings.Join(strings.Fields(cell), " ") }

// Names are all who are to be credited, each once.
func (c *Credits) Names() (names []string) {
	for i := range c.Takes {
		if name := c.Takes[i].Name(); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// Conditions lists what the terms of the takes ask of the instrument, with the number of takes.
func (c *Credits) Conditions() (lines []string) {
	say := func(line string, holds func(Terms) bool) {
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
	say("no licence or consent is noted: ask before anything is shared", func(t Terms) bool { return !t.Given })
	say("private use at most", func(t Terms) bool { return t.Reserved })
	say("not for commercial use", func(t Terms) bool { return t.NonCommercial })
	say("not to be changed, so not to be shared as part of an instrument", func(t Terms) bool { return t.NoDerivatives })
	say("share alike: what is shared bears the same licence", func(t Terms) bool { return t.ShareAlike })
	say("some refusal or condition that is not understood: read them",
		func(t Terms) bool { return t.Doubtful && t.Agreed == "" })
	say("terms in words of their own: read them", Terms.unread)
	return lines
}

func placesText(places []Place, naming mapping.Naming) string {
	texts := make([]string, len(places))
	for i, p := range places {
		texts[i] = fmt.Sprintf("%s %s on %s", p.Layer, p.Strand, keysText(p.Keys, naming))
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
		"layer", "strand", "root", "root_name", "keys", "bed", "audible_sec"})
	for i := range c.Takes {
		t := &c.Takes[i]
		for _, p := range t.Places {
			row := []string{t.Name(), takes.ContributorName(t.Contributor), t.Path, t.Title, t.Consent, t.Terms.String(),
				p.Layer, p.Strand, strconv.Itoa(p.Root), naming.Name(p.Root), keysText(p.Keys, naming), p.Bed, strconv.FormatFloat(p.AudibleSec, 'f', 1, 64)}
			for k := range row {
				row[k] = takes.Defuse(row[k])
			}
			w.Write(row)
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}
