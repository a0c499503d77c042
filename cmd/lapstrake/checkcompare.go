// What check prints of two reports side by side.

package main

import (
	"fmt"
	"io"

	"lapstrake/engine/check"
)

// writeComparison prints what is better and what is worse, check by check; all prints what is the same too.
func writeComparison(w io.Writer, c *check.Comparison, all bool) {
	counts := map[check.Change]int{}
	for _, part := range c.Parts {
		verdict := string(part.Now)
		if part.Before != part.Now {
			verdict = fmt.Sprintf("%s, before %s", part.Now, part.Before)
		}
		fmt.Fprintf(w, "%-10s %s\n", part.Name, verdict)
		for _, f := range part.Figures {
			counts[f.Change]++
			if all || f.Change == check.Improved || f.Change == check.Worsened {
				fmt.Fprintf(w, "  %-6s  %s: %s, before %s\n", f.Change, f.Name, figureText(f.Now, f.Unit),
					figureText(f.Before, f.Unit))
			}
		}
		for _, f := range part.Gone {
			fmt.Fprintf(w, "  gone    %s\n", f.Text)
		}
		for _, f := range part.New {
			fmt.Fprintf(w, "  new     %s: %s\n", f.Verdict, f.Text)
		}
	}
	fmt.Fprintf(w, "%s better, %d worse, %d the same\n", count(counts[check.Improved], "figure"),
		counts[check.Worsened], counts[check.Same])
}
