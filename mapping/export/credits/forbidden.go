// What stands against a use, and what is still open.

package credits

import (
	"fmt"

	"lapstrake/mapping/takes/terms"
)

// outward says that a use leaves the builder's own room.
func outward(use terms.Use) bool { return use == terms.ForCommercial || use == terms.ForSharing }

// Forbidden lists what stands against a use: a line for each take whose terms do not allow it, or whose licence asks
// for a name that the sheet does not have, and, but for private use, for each bed whose takes nobody knows.
func (c *Credits) Forbidden(use terms.Use) (lines []string) {
	for i := range c.Takes {
		if why := c.Takes[i].forbids(use); why != "" {
			lines = append(lines, c.Takes[i].title()+": "+why)
		}
	}
	if outward(use) {
		for _, bed := range c.Unknown {
			lines = append(lines, bed+": no ledger tells whose takes it holds")
		}
	}
	return lines
}

func (c *Take) title() string { return fmt.Sprintf("%s (%s)", c.Path, c.Name()) }

// forbids says why a take stands against a use; "" where it does not.
func (c *Take) forbids(use terms.Use) string {
	why := c.Terms.Forbids(use)
	switch {
	case outward(use) && c.NoRow:
		return "the take sheet has no row for it any more, so no terms are known"
	case outward(use) && c.Terms.Open():
		return c.openText()
	case why != "":
		return fmt.Sprintf("%s: %s", c.Terms, why)
	case outward(use) && c.Terms.AsksForName() && oneLine(c.Credit) == "":
		return fmt.Sprintf("%s asks for a name: fill in the column credit", c.Terms)
	}
	return ""
}

// openText tells of open terms what their consent says and suggests.
func (c *Take) openText() string {
	text := "terms are open"
	if c.Terms != "" {
		text = fmt.Sprintf("terms are open (%s)", c.Terms)
	}
	if c.Consent != "" {
		text += fmt.Sprintf("; consent %q", oneLine(c.Consent))
	}
	if suggested := terms.Suggest(c.Consent); suggested != "" {
		text += ", suggested terms " + string(suggested)
	}
	return text
}

// Suggested counts the open takes for which their consent suggests terms.
func (c *Credits) Suggested() (count int) {
	for i := range c.Takes {
		if c.Takes[i].Terms.Open() && terms.Suggest(c.Takes[i].Consent) != "" {
			count++
		}
	}
	return count
}

// Doubts lists the takes whose terms allow a use that the words of their consent may refuse.
func (c *Credits) Doubts(use terms.Use) (lines []string) {
	for i := range c.Takes {
		t := &c.Takes[i]
		if t.Consent == "" || t.Terms.Forbids(use) != "" {
			continue
		}
		if why := terms.Read(t.Consent).Forbids(use); why != "" {
			lines = append(lines, fmt.Sprintf("%s: terms %s, but consent %q: %s", t.title(), t.Terms,
				oneLine(t.Consent), why))
		}
	}
	return lines
}
