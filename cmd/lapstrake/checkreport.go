// What check prints for a person.

package main

import (
	"fmt"
	"io"
	"strings"

	"lapstrake/engine/check"
)

// shownFindings is how many findings of a check are printed unless all are asked for: the worst.
const shownFindings = 4

// writeCheck prints a line for each check, with its worst findings below it.
func writeCheck(w io.Writer, report *check.Report, all bool) {
	for _, part := range report.Parts {
		fmt.Fprintf(w, "%-10s %-7s %s\n", part.Name, part.Verdict, part.About)
		if all {
			for _, f := range part.Figures {
				fmt.Fprintf(w, "    %s: %s\n", f.Name, figureText(f.Value, f.Unit))
			}
			writeContributorsHeard(w, part.Heard)
		}
		for i, f := range part.Findings {
			if i == shownFindings && !all {
				fmt.Fprintf(w, "    and %d more; --all lists them\n", len(part.Findings)-i)
				break
			}
			writeFinding(w, f)
		}
	}
	fmt.Fprintf(w, "%s: %s\n", report.Verdict, strings.Join(verdictCounts(report), ", "))
}

// writeContributorsHeard lists all contributors, those heard least first.
func writeContributorsHeard(w io.Writer, heard *check.HeardTable) {
	if heard == nil {
		return
	}
	for _, c := range heard.Contributors {
		fmt.Fprintf(w, "    %s is heard for up to %.1f s of a turn\n", c.Contributor, c.Sec)
	}
}

func writeFinding(w io.Writer, f check.Finding) {
	verdict := string(f.Verdict)
	if f.Waived != "" {
		verdict = "waived"
	}
	fmt.Fprintf(w, "  %s: %s\n", verdict, f.Text)
	fmt.Fprintf(w, "      %s, limit %s (%s); sure to %.0f %%; id %s\n", figureText(f.Figure, f.Unit),
		figureText(f.Limit, f.Unit), f.What, 100*f.Sure, f.ID)
	if f.Waived != "" {
		fmt.Fprintf(w, "      waived: %s\n", f.Waived)
		return
	}
	fmt.Fprintf(w, "      cure: %s\n", f.Cure)
}

func figureText(value float64, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%.4g %s", value, unit))
}

// verdictCounts says how many findings there are of each kind.
func verdictCounts(report *check.Report) (words []string) {
	fails, warns, waived := 0, 0, 0
	for _, part := range report.Parts {
		for _, f := range part.Findings {
			switch {
			case f.Waived != "":
				waived++
			case f.Verdict == check.Fails:
				fails++
			default:
				warns++
			}
		}
	}
	words = []string{count(fails, "failure"), count(warns, "warning")}
	if waived > 0 {
		words = append(words, fmt.Sprintf("%d waived", waived))
	}
	return words
}
