// The command marks.

package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"lapstrake/engine/mark"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// marksOptions are what marks is told.
type marksOptions struct{ json bool }

func marksCommand() command {
	return command{
		name: "marks", words: "DIR",
		summary: "list the moments that were marked while playing",
		about: `Lists the moments that were marked while playing, with m: the keys, the dynamics, who was
audible, the loudest first, and the remark. They stand in marks.csv, where remarks may be
changed. ` + "`lapstrake hold DIR --mark N`" + ` renders one again.`,
		example: "lapstrake marks boatyard",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &marksOptions{}
			flags.BoolVar(&o.json, "json", false, "print all of it as JSON")
			return o.run
		},
	}
}

func (o *marksOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("marks takes one project; found %d arguments", len(args))
	}
	path, err := mapping.Locate(args[0])
	if err != nil {
		return err
	}
	rows, err := mark.ReadRows(filepath.Dir(path))
	if err != nil {
		return err
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			Marks []mark.Row `json:"marks"`
		}{list(rows)})
	}
	if len(rows) == 0 {
		s.notice("no %s: m marks a moment while `lapstrake play %s` plays", project.MarksFile, args[0])
		return nil
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "mark\twhen\tkeys\tdynamics\tloudest\tremark")
	for _, r := range rows {
		dynamics := ""
		if r.Dynamics >= 0 {
			dynamics = fmt.Sprint(r.Dynamics)
		}
		fmt.Fprintf(table, "%d\t%s\t%s\t%s\t%s\t%s\n", r.Number, r.When, r.Keys, dynamics, r.Loudest, r.Remark)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "next: lapstrake hold %s --mark N -o OUT.wav\n", inShell(args[0]))
	return err
}
