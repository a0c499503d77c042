// What export says when it is done.

package main

import (
	"encoding/json"
	"fmt"
	"text/tabwriter"

	"lapstrake/mapping/export"
)

// report says what was written.
func (o *exportOptions) report(s streams, job *export.Job, r *export.Report) error {
	inBank := int64(0)
	if r.Bank != nil {
		inBank = r.Bank.Clipped
	}
	if inSets := r.Clipped - inBank; inSets > 0 {
		s.notice("%d samples of the files lay beyond full scale and were clipped: "+
			"lower the beds, or keep them with --format float", inSets)
	}
	if inBank > 0 {
		s.notice("%d samples of the bank lay beyond full scale and were clipped: "+
			"raise headroom_db in map.toml, or lower the beds", inBank)
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(r)
	}
	if o.verify {
		printProofs(s, r.Proofs)
	}
	fmt.Fprintf(s.out, "%s: %s, %s, read back and compared frame by frame with what the player plays\n",
		r.Output, count(r.Files, "file"), megabytes(r.SizeBytes))
	for _, lost := range r.GaveUp {
		fmt.Fprintf(s.out, "given up by the files: %s\n", lost)
	}
	if r.Bank != nil {
		fmt.Fprintf(s.out, "bank.dls: %s\n", megabytes(r.Bank.SizeBytes))
		for _, program := range r.Bank.Programs {
			fmt.Fprintf(s.out, "  program %s\n", program)
		}
		for _, lost := range r.Bank.GaveUp {
			fmt.Fprintf(s.out, "  given up: %s\n", lost)
		}
	}
	if job.Parts.Has(export.Page) {
		fmt.Fprintln(s.out, "page/index.html: open it in a browser")
		for _, lost := range job.Page.GaveUp {
			fmt.Fprintf(s.out, "  given up: %s\n", lost)
		}
	}
	if job.Credits != nil {
		fmt.Fprintf(s.out, "credits: %s of %s\n", count(r.Takes, "take"), people(len(r.Names)))
		listLines(s, "terms", job.Credits.Conditions())
	}
	return nil
}

// printProofs prints a line for each file of the sets and each cycle of the bank.
func printProofs(s streams, proofs []export.Proof) {
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "file\tframes\tlargest difference\tallowed\tclipped")
	for _, p := range proofs {
		difference := fmt.Sprintf("%.1f dBFS", p.MostDBFS)
		if p.Exact() {
			difference = "none"
		}
		allowed := fmt.Sprintf("%.1f dBFS", p.AllowedDBFS)
		if p.AllowedDBFS <= export.NoDifferenceDBFS {
			allowed = "none"
		}
		fmt.Fprintf(table, "%s\t%d\t%s\t%s\t%d\n", p.File, p.Frames, difference, allowed, p.Clipped)
	}
	table.Flush()
}
