// Proposes a row of the take sheet for each sound of a recording that holds several.

package main

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

// splitOptions are what split is told.
type splitOptions struct {
	write bool
	json  bool
}

func splitCommand() command {
	return command{
		name: "split", words: "DIR TAKE",
		summary: "propose a row of the take sheet for each sound of a recording",
		about: `Finds where the sounds of a recording begin, such as three strikes of a bell, and prints
a stretch for each: what to write into the columns from_s and to_s of takes.csv, where
each stretch is a take of its own. With --write the rows are put into the sheet, with all
that you said of the whole recording, whose own row gets use = no. The recording itself is
never changed. TAKE is named as in the sheet.`,
		example: `lapstrake split boatyard ister-vane/31-bell-buoy-at-slack-water-E7.wav
  lapstrake split boatyard ister-vane/31-bell-buoy-at-slack-water-E7.wav --write`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &splitOptions{}
			flags.BoolVar(&o.write, "write", false, "put the rows into takes.csv, and measure them")
			flags.BoolVar(&o.json, "json", false, "print the stretches as JSON")
			return o.run
		},
	}
}

func (o *splitOptions) run(s streams, args []string) error {
	if len(args) != 2 {
		return wrongWords("split takes a project and a take; found %d arguments", len(args))
	}
	return changing(args[0], "split", func(ctx context.Context) error { return o.work(ctx, s, args[0], args[1]) })
}

func (o *splitOptions) work(ctx context.Context, s streams, dir, name string) error {
	if err := updateSheet(ctx, s, dir); err != nil {
		return err
	}
	settings, err := project.Load(dir)
	if err != nil {
		return err
	}
	path := filepath.Join(dir, project.SheetFile)
	sheet, err := takes.ReadSheet(path, takes.OptionsOf(&settings))
	if err != nil {
		return err
	}
	row := sheet.WholeRow(takeNamed(dir, name))
	if row == nil {
		return wrongWords("split: %s has no row of the whole file %q; name the take as its first column does", path,
			name)
	}
	take := row.Path
	stretches, err := findStretches(dir, take)
	if err != nil {
		return err
	}
	writes := o.write && len(stretches) > 1
	if writes {
		if err := sheet.Split(take, stretches); err != nil {
			return wrongError{fmt.Errorf("%s: %w", path, err)}
		}
		if err := sheet.Save(path); err != nil {
			return err
		}
		if err := updateSheet(ctx, s, dir); err != nil {
			return err
		}
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			Take      string          `json:"take"`
			Stretches []takes.Stretch `json:"stretches"`
			Written   bool            `json:"written"`
		}{take, list(stretches), writes})
	}
	o.print(s, take, stretches)
	return nil
}

// takeNamed is a take's path as the sheet has it, though it may be named by its place.
func takeNamed(dir, name string) string {
	if inside, err := filepath.Rel(filepath.Join(dir, project.TakesFolder),
		name); err == nil && !strings.HasPrefix(inside, "..") {
		name = inside
	}
	return filepath.ToSlash(name)
}

// findStretches lists the sounds of a take; none where there are not several.
func findStretches(dir, take string) (stretches []takes.Stretch, err error) {
	strikes, err := measure.StrikesIn(filepath.Join(dir, project.TakesFolder, filepath.FromSlash(take)))
	if err != nil || len(strikes) < 2 {
		return nil, err
	}
	for _, strike := range strikes {
		strike = strike.Rounded()
		stretches = append(stretches, takes.Stretch{FromSec: strike.FromSec, ToSec: strike.ToSec})
	}
	return stretches, nil
}

func (o *splitOptions) print(s streams, take string, stretches []takes.Stretch) {
	if len(stretches) == 0 {
		fmt.Fprintf(s.out, "%s: there are not several sounds in it: nothing to split\n", take)
		return
	}
	fmt.Fprintf(s.out, "%s: %d sounds\n", take, len(stretches))
	for _, stretch := range stretches {
		fmt.Fprintf(s.out, "  from_s %.3f  to_s %.3f\n", stretch.FromSec, stretch.ToSec)
	}
	if o.write {
		s.notice("each has a row of its own now, and the row of the whole take says use = no; next: lapstrake build")
		return
	}
	s.notice("nothing is written: --write puts these rows into %s", project.SheetFile)
}
