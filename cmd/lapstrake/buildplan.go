package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"runtime"
	"text/tabwriter"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// printPlan tells what a build would make, and what other lengths and grids would cost.
func (o *buildOptions) printPlan(s streams, dir string) error {
	settings, err := project.Load(dir)
	if err != nil {
		return err
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if err != nil {
		return err
	}
	rows, leftOut := beds.UsableRows(sheet, settings.Project.RequireConsent)
	material := beds.PlanTakes{Takes: len(rows)}
	for _, row := range rows {
		material.SoundSec += row.EndSec - row.OnsetSec
	}
	plan := beds.NewPlan(&settings, material, runtime.NumCPU())
	memory := engine.PlanMemory(plan.Heads, mapping.New().Polyphony)
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			*beds.Plan
			Memory  engine.Memory     `json:"memory"` // that playing takes
			LeftOut []beds.LeftOutRow `json:"left_out"`
		}{plan, memory, list(leftOut)})
	}
	fmt.Fprintf(s.out, "%d takes, %s of sound, %d left out: %d beds of %g s for %d roots, %s on disk, %s of memory "+
		"to play; %s to build on %s\n",
		material.Takes, minutes(material.SoundSec), len(leftOut), plan.Beds, plan.LengthSec, plan.Roots,
		megabytes(plan.Bytes), megabytes(memory.Bytes()),
		timeRange(plan.BuildRangeSec()), count(runtime.NumCPU(), "processor"))
	listLines(s, "left out", linesOf(leftOut))
	fmt.Fprintln(s.out)
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(table, "\tbed\tranks\tspacing\troots\tbeds\tdisk\tcycle\tlongest\ttakes a bed\tbeds a take\t")
	for _, row := range plan.Alternatives {
		mark := ""
		if row.Present {
			mark = "now"
		}
		fmt.Fprintf(table, "%s\t%g s\t%d\t%d\t%d\t%d\t%s\t%.1f s\t%.1f s\t%.1f\t%.1f\t\n", mark, row.LengthSec,
			row.Ranks, row.SpacingSemitones, row.Roots,
			row.Beds, megabytes(row.Bytes), row.CycleSec, row.LongestCycleSec, row.TakesPerBed, row.UsesPerTake)
	}
	return table.Flush()
}

// timeRange writes how long work may take, in whole seconds, or minutes where both are long.
func timeRange(leastSec, mostSec float64) string {
	const longSec = 120
	if leastSec >= longSec {
		return fmt.Sprintf("%.0f to %.0f min", math.Floor(leastSec/60), math.Ceil(mostSec/60))
	}
	return fmt.Sprintf("%.0f to %.0f s", math.Floor(leastSec), math.Ceil(mostSec))
}
