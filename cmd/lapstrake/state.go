// The command state: where a project stands, in ten lines.

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// stateOptions are what state is told.
type stateOptions struct{ json bool }

func stateCommand() command {
	return command{
		name: "state", words: "DIR",
		summary: "tell where a project stands, and the next step",
		about: `Tells in ten lines where a project stands: how many takes there are, which have no pitch
to tune them by, which are left out, whose terms are open, which beds the next build makes
again, what was edited by hand, where the last export went, and the next sensible step.
It writes nothing.`,
		example: "lapstrake state boatyard",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &stateOptions{}
			flags.BoolVar(&o.json, "json", false, "print all of it as JSON, with every name")
			return o.run
		},
	}
}

func (o *stateOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("state takes one project; found %d arguments", len(args))
	}
	dir := args[0]
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return fmt.Errorf("%s: no such folder: expected a project", dir)
	}
	standing, err := beds.Stands(dir)
	if err != nil {
		return err
	}
	next := nextStep(dir, standing)
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			*beds.Standing
			Next string `json:"next"`
		}{standing, next})
	}
	printStanding(s, dir, standing)
	fmt.Fprintf(s.out, "next: %s\n", next)
	return nil
}

// nextStep is what a person does next, the first of these that has something to do.
func nextStep(dir string, st *beds.Standing) string {
	switch finished := !st.Sheet && len(st.Unlisted) == 0; {
	case finished && st.Beds == 0:
		return fmt.Sprintf("put recordings into %s, in a folder for each contributor, then lapstrake intake %s",
			filepath.Join(dir, project.TakesFolder), dir)
	case finished && !st.Map:
		return "lapstrake map " + dir
	case finished:
		return "lapstrake play " + dir
	case len(st.Unlisted) > 0:
		return "lapstrake intake " + dir
	case st.Used == 0:
		return fmt.Sprintf("look at %s: no take is left to build from", filepath.Join(dir, project.SheetFile))
	case len(st.Older) > 0 || st.BuildDue || !st.Map:
		return "lapstrake build " + dir
	case len(st.OpenTerms) > 0:
		return fmt.Sprintf("lapstrake play %s; before anyone else gets it, decide the column terms in %s: lapstrake "+
			"export %s --ask LETTERS writes to those who are to be asked", dir, filepath.Join(dir, project.SheetFile),
			dir)
	case st.LastExport != nil && !st.LastExport.Since:
		return "lapstrake play " + dir + "; what was exported is as the project is"
	}
	return fmt.Sprintf("lapstrake play %s, or lapstrake export %s -o OUT", dir, dir)
}

func printStanding(s streams, dir string, st *beds.Standing) {
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	title := dir
	if st.Title != "" {
		title = fmt.Sprintf("%s (%s)", dir, st.Title)
	}
	var leftOut, open []string
	openTakes := 0
	for _, row := range st.LeftOut {
		leftOut = append(leftOut, row.Path)
	}
	for _, who := range st.OpenTerms {
		openTakes += len(who.Takes)
		open = append(open, takes.ContributorName(who.Contributor))
	}
	mapState := "there"
	switch {
	case !st.Map:
		mapState = "none yet"
	case st.MapByHand:
		mapState = "edited by hand"
	}
	for _, line := range [][2]string{
		{"project", title},
		{"takes", fmt.Sprintf("%d, %d used, of %s", st.Takes, st.Used, count(st.Contributors, "contributor"))},
		{"not in the sheet", someNames(len(st.Unlisted), st.Unlisted)},
		{"untuned", someNames(len(st.Untuned), st.Untuned)},
		{"left out", someNames(len(leftOut), leftOut)},
		{"open terms", someNames(openTakes, open)},
		{"beds", fmt.Sprintf("%d, %d to be made or made again; by hand %s", st.Beds, len(st.Older),
			someNames(len(st.ByHand), st.ByHand))},
		{"map", mapState},
		{"last export", lastExport(st.LastExport)},
	} {
		fmt.Fprintf(table, "%s\t%s\n", line[0], line[1])
	}
	table.Flush()
}

// lastExport says where the last export went, and whether it is still what the project is.
func lastExport(last *project.LastExport) string {
	if last == nil {
		return "none"
	}
	text := fmt.Sprintf("%s, to %s", last.When.Local().Format("2006-01-02 15:04"), last.To)
	if last.For != "" {
		text += ", for " + last.For
	}
	if last.Since {
		text += "; map or beds changed since"
	}
	return text
}

// someNames is a count with the first few names.
func someNames(n int, names []string) string {
	const most = 3
	switch {
	case n == 0:
		return "none"
	case len(names) > most:
		return fmt.Sprintf("%d: %s and %d more", n, strings.Join(names[:most], ", "), len(names)-most)
	}
	return fmt.Sprintf("%d: %s", n, strings.Join(names, ", "))
}
