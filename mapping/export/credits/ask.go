// A text to ask the contributors with whose terms are open.

package credits

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"lapstrake/mapping/takes/terms"
)

// askedFor says in plain words what a use is.
var askedFor = map[terms.Use]string{
	"":                  "in the instrument, which I may share or sell",
	terms.ForPrivate:    "in the instrument, for myself alone",
	terms.ForSharing:    "in the instrument, which I want to give away",
	terms.ForCommercial: "in the instrument, which I want to sell",
}

// AskText is a letter to each contributor some of whose sounding takes are still open, one below the other, for the
// builder to send: which takes, for what use, and what they may answer. artist signs; "" leaves room for a name. It is
// nil where nothing is open.
func (c *Credits) AskText(title, artist string, use terms.Use) []byte {
	var names []string
	open := map[string][]*Take{}
	for i := range c.Takes {
		t := &c.Takes[i]
		if !t.Terms.Open() || t.NoRow {
			continue
		}
		if !slices.Contains(names, t.Name()) {
			names = append(names, t.Name())
		}
		open[t.Name()] = append(open[t.Name()], t)
	}
	if names == nil {
		return nil
	}
	if artist == "" {
		artist = "(your name)"
	}
	var out bytes.Buffer
	for i, name := range names {
		if i > 0 {
			fmt.Fprintf(&out, "\n----------------------------------------\n\n")
		}
		writeLetter(&out, name, open[name], title, artist, askedFor[use])
	}
	return out.Bytes()
}

func writeLetter(out *bytes.Buffer, name string, asked []*Take, title, artist, use string) {
	fmt.Fprintf(out, "Dear %s,\n\nthank you for your sound. It is part of the instrument %q that I am making:\n\n",
		name, title)
	for _, t := range asked {
		if words := oneLine(t.Title); words != "" {
			fmt.Fprintf(out, "  %s (%s)\n", words, t.Path)
		} else {
			fmt.Fprintf(out, "  %s\n", t.Path)
		}
	}
	fmt.Fprintf(out, "\nMay I use it %s? It is tuned, cut and woven together with the sounds of others.\n", use)
	fmt.Fprint(out, strings.Join([]string{
		"Please answer with one of these, or in your own words:",
		"",
		"  1. Yes, in an instrument that is sold.",
		"  2. Yes, in an instrument that is given away, but not sold.",
		"  3. Only for your own use.",
		"  4. No, please leave it out.",
		"  5. It is under a licence already, which is: ...",
		"",
		"And which name may I print with it, if any?",
		"",
		"If you change your mind later, tell me. I can take it out of what I make from then on; copies that others " +
			"have",
		"by then I cannot call back.",
		"",
	}, "\n"))
	fmt.Fprintf(out, "\nWith kind regards\n%s\n", artist)
}
