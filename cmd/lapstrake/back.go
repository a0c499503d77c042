// Returns a project to a state before a command changed it.

package main

import (
	"encoding/json"
	"fmt"
	"strconv"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"lapstrake/mapping/project"
)

// backOptions are what back is told.
type backOptions struct {
	json bool
}

func backCommand() command {
	return command{
		name: "back", words: "DIR [NUMBER]",
		summary: "list earlier states of a project, or return to one",
		about: `Before and after they change them, intake, build, map and back keep the sheets, the
settings and the map of a project. The last ten such states are kept. Without a number the
command lists them, the latest first. With one it returns to that state; the present
state is kept, so that you can come forward again. Takes and beds stay as they are:
run build afterwards.`,
		example: `lapstrake back boatyard
  lapstrake back boatyard 3`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &backOptions{}
			flags.BoolVar(&o.json, "json", false, "print the list as JSON")
			return o.run
		},
	}
}

func (o *backOptions) run(s streams, args []string) error {
	switch len(args) {
	case 1:
		return o.list(s, args[0])
	case 2:
		return o.goBack(s, args[0], args[1])
	}
	return wrongWords("back takes a project and the number of a state; found %d arguments", len(args))
}

// stateRow is a state as the list shows it.
type stateRow struct {
	project.State
	Difference string `json:"difference"` // from the present
}

func (o *backOptions) list(s streams, dir string) error {
	states, err := project.States(dir)
	if err != nil {
		return err
	}
	rows := make([]stateRow, len(states))
	for i, state := range states {
		rows[i].State = state
		if rows[i].Difference, err = state.Difference(dir); err != nil {
			return err
		}
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(rows)
	}
	if len(rows) == 0 {
		s.notice("%s: no earlier states: intake, build and map keep them", dir)
		return nil
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "state\tkept\twhen\tagainst now")
	for _, row := range rows {
		fmt.Fprintf(table, "%d\t%s\t%s\t%s\n", row.Number, row.Taken.Format("2006-01-02 15:04:05"), row.When,
			row.Difference)
	}
	return table.Flush()
}

func (o *backOptions) goBack(s streams, dir, word string) error {
	number, err := strconv.Atoi(word)
	if err != nil {
		return wrongWords("%q: expected the number of a state; `lapstrake back %s` lists them", word, dir)
	}
	release, err := project.Lock(dir, "back")
	if err != nil {
		return err
	}
	defer release()
	if err := project.GoBack(dir, number); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%s: back at state %d; the state until now is kept too\nnext: lapstrake build %s\n", dir,
		number, dir)
	return nil
}
