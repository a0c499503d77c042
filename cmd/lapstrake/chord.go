// Prints the cycles of a held chord and when they come back.

package main

import (
	"fmt"
	"text/tabwriter"

	"lapstrake/engine/show"
	"lapstrake/mapping"
)

func printChord(s streams, naming mapping.Naming, cycles []show.SoundingCycle, returns []show.FirstReturn) {
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "key\trank\troot\tshift\tstart\tcycle")
	for _, c := range cycles {
		layer := ""
		if c.Layer != "" {
			layer = " (" + c.Layer + ")"
		}
		fmt.Fprintf(table, "%s (%d)\t%s%s\t%s (%d)\t%+.4g\t%.4g turns\t%.3f s\n", naming.Name(c.Key),
			c.Key, c.Rank, layer, naming.Name(c.Root), c.Root, c.ShiftSemitones, c.Start, c.CycleSec)
	}
	table.Flush()
	fmt.Fprintln(s.out)
	for _, r := range returns {
		if r.Never {
			fmt.Fprintf(s.out, "within %g %% of a turn of where they began: not in 24 h\n", 100*r.WithinTurns)
			continue
		}
		fmt.Fprintf(s.out, "within %g %% of a turn of where they began: "+
			"first after %s (nearest at %s, the worst %.2f %% off)\n",
			100*r.WithinTurns, minutes(r.AfterSec), minutes(r.NearestSec), 100*r.WorstTurns)
	}
}
