package main

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"text/tabwriter"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// zonePlan is a zone as the plan shows it.
type zonePlan struct {
	Rank       string    `json:"rank"`
	Root       int       `json:"root"`
	Low        int       `json:"low"`
	High       int       `json:"high"`
	Starts     []float64 `json:"starts"`
	CycleSec   float64   `json:"cycle_sec"`
	LongestSec float64   `json:"longest_sec"`
}

func (o *mapOptions) report(s streams, target string, bank *stream.Cycles, grid mapping.Grid, unused []int) error {
	m := bank.Map
	warnings := m.KeyWarnings(grid.Lowest, grid.Highest, o.maxShift)
	for _, root := range unused {
		warnings = append(warnings, fmt.Sprintf("root %d: its beds lie on no rank of this grid and are left out", root))
	}
	warnings = append(warnings, unequalLayers(bank)...)
	plan := make([]zonePlan, len(m.Zones))
	for i := range m.Zones {
		z := &m.Zones[i]
		cycle := bank.Cycle(i, 0)
		plan[i] = zonePlan{z.Rank, z.Root, z.Low, z.High, m.Starts(z), cycle.Seconds(0), cycle.Seconds(float64(z.Low - z.Root))}
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			Map      string     `json:"map"`
			Zones    []zonePlan `json:"zones"`
			Warnings []string   `json:"warnings"`
		}{target, plan, warnings})
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "rank\troot\tkeys\tshift\tstart\tcycle at root\tat its lowest key")
	for i, z := range m.Zones {
		fmt.Fprintf(table, "%s\t%s (%d)\t%s–%s (%d–%d)\t%+d to %+d\t%s\t%.3f s\t%.3f s\n", z.Rank, m.MiddleC.Name(z.Root), z.Root,
			m.MiddleC.Name(z.Low), m.MiddleC.Name(z.High), z.Low, z.High, z.Low-z.Root, z.High-z.Root,
			startsText(plan[i].Starts), plan[i].CycleSec, plan[i].LongestSec)
	}
	table.Flush()
	fmt.Fprintf(s.out, "\n%s\n", m.Drawing(grid.Lowest, grid.Highest))
	for _, warning := range warnings {
		s.notice("warning: %s", warning)
	}
	if o.dryRun {
		s.notice("nothing written")
		return nil
	}
	fmt.Fprintf(s.out, "%s: %d zones in %d ranks, middle C (key 60) is %s\n", target, len(m.Zones), grid.Ranks, m.MiddleC)
	return nil
}

func startsText(starts []float64) string {
	if len(starts) > 4 {
		return fmt.Sprintf("%d different", len(starts))
	}
	words := make([]string, len(starts))
	for i, start := range starts {
		words[i] = strconv.FormatFloat(start, 'g', 4, 64)
	}
	return strings.Join(words, " ")
}

// unequalLayers tells of zones whose layers do not stay in phase.
func unequalLayers(bank *stream.Cycles) []string {
	var warnings []string
	for i, z := range bank.Map.Zones {
		first := bank.Cycle(i, 0)
		for layer := 1; layer < len(bank.Map.Layers); layer++ {
			if cycle := bank.Cycle(i, layer); cycle.Seconds(0) != first.Seconds(0) {
				warnings = append(warnings, fmt.Sprintf("rank %s, root %d: layer %s lasts %.3f s, layer %s %.3f s: they drift apart while a note is held; make their beds equally long or set --length",
					z.Rank, z.Root, bank.Map.Layers[0], first.Seconds(0), bank.Map.Layers[layer], cycle.Seconds(0)))
			}
		}
	}
	return warnings
}
