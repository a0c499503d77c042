// How far apart the cycles of common chords begin, as map reports it.

package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"lapstrake/mapping"
)

// startRow is one kind of chord.
type startRow struct {
	Chord     string  `json:"chord"`
	Chords    int     `json:"chords"`
	Cycles    float64 `json:"cycles"`
	MeanTurns float64 `json:"mean_turns"`
	EvenTurns float64 `json:"even_turns"`
	Shared    int     `json:"shared"`
	WorstKey  int     `json:"worst_key"`
}

func startRows(m *mapping.Map, grid mapping.Grid) (rows []startRow) {
	for _, g := range m.StartGaps(mapping.CommonChords(), grid.LowestKey, grid.HighestKey) {
		rows = append(rows, startRow(g))
	}
	return list(rows)
}

func writeStartGaps(w io.Writer, rows []startRow) {
	if len(rows) == 0 {
		return
	}
	fmt.Fprintln(w, "where the cycles of a chord begin: from each to the nearest of the others, in turns")
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "chord\tcycles\tapart\tif even\ttwo at one place")
	for _, r := range rows {
		fmt.Fprintf(table, "%s\t%.1f\t%.3f\t%.3f\t%d of %d\n", r.Chord, r.Cycles, r.MeanTurns, r.EvenTurns,
			r.Shared, r.Chords)
	}
	table.Flush()
}
