// Makes the project of the boatyard to try everything on.

package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"lapstrake/cmd/lapstrake/boatyard"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/terms"
	"lapstrake/mapping/wav"
	"lapstrake/mapping/work"
)

// demoOptions are what demo is told.
type demoOptions struct {
	small bool
	force bool
	takes int
}

func demoCommand() command {
	return command{
		name: "demo", words: "DIR",
		summary: "make a project to try everything on",
		about: `Makes a project to try everything on: an estuary boatyard asked its neighbours for
one sound each. The takes are synthesised, with everything that is usually wrong with
takes. Then the command does what intake and build do: it makes the take sheet, the
beds and the map. The full project takes 360 MB. The small one has three and a half
octaves on short beds and takes 35 MB.`,
		example: "lapstrake demo boatyard --small",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &demoOptions{}
			flags.BoolVar(&o.small, "small", false,
				"fewer takes, and beds of 2 seconds for eight roots, C#2 to F#5 (keys 37 to 78)")
			flags.IntVar(&o.takes, "takes", 0, "how many takes to make; 48 if not given, or 12 for the small project")
			flags.BoolVar(&o.force, "force", false, "write into a folder that is not empty")
			return o.run
		},
	}
}

const mostDemoTakes = 5000

func (o *demoOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("demo takes one folder; found %d arguments", len(args))
	}
	if o.takes < 0 || o.takes > mostDemoTakes {
		return wrongWords("--takes %d: expected 1 to %d", o.takes, mostDemoTakes)
	}
	dir := args[0]
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 && !o.force {
		return fmt.Errorf("%s: the folder is not empty: name a new one, or write into it with --force", dir)
	}
	if err := o.writeTakes(s, filepath.Join(dir, project.TakesFolder)); err != nil {
		return err
	}
	err := changing(dir, "demo", func(ctx context.Context) error {
		settings := o.settings()
		if err := settings.Save(dir); err != nil {
			return err
		}
		if err := updateSheet(ctx, s, dir); err != nil {
			return err
		}
		return signTakes(dir, &settings)
	})
	if err != nil {
		return err
	}
	return (&buildOptions{force: o.force}).run(s, []string{dir})
}

func (o *demoOptions) settings() project.Settings {
	settings := project.Default()
	settings.Project.StrandTitles = []string{"what goes on", "what is struck"}
	if o.small {
		settings.Beds.LengthSec, settings.Beds.OverlapSec = 2, 0.25
		settings.Grid.LowestKey, settings.Grid.HighestKey = 37, 78
	}
	return settings
}

func (o *demoOptions) count() int {
	switch {
	case o.takes > 0:
		return o.takes
	case o.small:
		return 12
	}
	return 48
}

// writeTakes writes the contributions as they came in, on all processors.
func (o *demoOptions) writeTakes(s streams, folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return fmt.Errorf("%s: the folder cannot be made: %w; name one where you may write", folder, err)
	}
	all := boatyard.Contributions(o.count())
	bar := newProgress(s.notices, "recording takes")
	defer bar.end()
	tally := work.NewTally(float64(len(all)), bar.show)
	return work.Each(context.Background(), len(all), func(_ context.Context, i int) error {
		defer tally.Add(1)
		return writeTake(filepath.Join(folder, filepath.FromSlash(all[i].Path)), &all[i])
	})
}

func writeTake(path string, c *boatyard.Contribution) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return err
	}
	format := map[int]wav.Format{16: wav.PCM16, 24: wav.PCM24, 32: wav.Float}[c.Bits]
	writer, err := wav.Create(path, c.RateHz, c.Channels(), format)
	if err != nil {
		return err
	}
	defer writer.Discard()
	if err := writer.WriteFrames(c.Samples()); err != nil {
		return err
	}
	return writer.Commit()
}

// signTakes fills in the credits and consents that a builder asks the neighbours for. One has not answered yet, and
// one was asked for another take.
func signTakes(dir string, settings *project.Settings) error {
	path := filepath.Join(dir, project.SheetFile)
	sheet, err := takes.ReadSheet(path, takes.OptionsOf(settings))
	if err != nil {
		return err
	}
	contributions := map[string]boatyard.Contribution{}
	for _, c := range boatyard.Contributions(len(sheet.Rows)) {
		contributions[c.Path] = c
	}
	const stillToAnswer = "widow-ferrier"
	for i := range sheet.Rows {
		row := &sheet.Rows[i]
		if contributions[row.Path].Defect == boatyard.TooShort && row.Remarks == "" {
			row.Use, row.Remarks = false, "cut off at once: asked for another"
		}
		if c, ours := contributions[row.Path]; ours && row.Contributor != stillToAnswer && row.Credit == "" {
			row.Title, row.Credit = c.Maker.Title, c.Maker.Contributor
			row.Consent = "may be used and sold in the boatyard's instrument, by letter"
			row.Terms = terms.AgreedCommercial
		} else if ours && row.Contributor == stillToAnswer && row.Terms == "" {
			row.Terms = terms.Asked
		}
	}
	return sheet.Save(path)
}
