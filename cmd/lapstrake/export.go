// The command export.

package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/pflag"

	"lapstrake/mapping"
	"lapstrake/mapping/export"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/terms"
	"lapstrake/mapping/wav"
)

// exportOptions are the options of the command, as given.
type exportOptions struct {
	path    string
	parts   []string
	starts  string
	format  string
	rateHz  int
	budget  string
	use     string
	oldBeds bool
	ask     string
	verify  bool
	force   bool
	json    bool
}

func exportCommand() command {
	return command{
		name: "export", words: "DIR -o OUT",
		summary: "write the instrument for any sampler",
		about: `Writes the instrument into the new folder OUT, in open formats: an endless cycle for each
zone and layer as WAV, in a folder for each layer and rank, with root, loop and keys in the
file; a key map as CSV and JSON; a bank of Downloadable Sounds Level 2; a score with its
sound, to prove the instrument by elsewhere; instructions to set it up by hand; credits of
everyone whose takes sound; and checksums. Before OUT appears, every file is read back and
compared with what the player plays.`,
		example: `lapstrake export boatyard -o boatyard-1 --verify
  lapstrake export boatyard -o boatyard-small --format 16 --budget 50MB`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &exportOptions{}
			o.addFlags(flags)
			return o.run
		},
	}
}

func (o *exportOptions) addFlags(flags *pflag.FlagSet) {
	flags.StringVarP(&o.path, "output", "o", "", "the `FOLDER` to make")
	flags.StringSliceVar(&o.parts, "parts", export.UsualParts(),
		"what to write beside the texts: some of "+strings.Join(export.PartNames(), ", "))
	flags.StringVar(&o.starts, "starts", string(export.FirstStart),
		"first: a file for each zone and layer; all: a file for each start, to take turns by press or key")
	flags.StringVar(&o.format, "format", "24", "samples of the files: 16 (dithered), 24 or float")
	flags.IntVar(&o.rateHz, "rate", 0, "frames a second, in `Hz`, of all files and the bank; 0: as the beds have them")
	flags.StringVar(&o.budget, "budget", "",
		"the most `BYTES` that the bank, the page and each set of files may have, such as 50MB: "+
			"fewer bits, a lower rate or length and, at last, one side of the files make them fit")
	flags.StringVar(&o.use, "for", "",
		"the `USE` it is meant for: commercial, sharing or private; takes that forbid it stop the export")
	flags.StringVar(&o.ask, "ask", "", "write no instrument but a text to the `FILE`, - for standard output: letters "+
		"to those whose terms are open")
	flags.BoolVar(&o.oldBeds, "old-beds", false, "export beds, too, that the settings and the sheet do not make any "+
		"more, or only otherwise than they were before somebody edited them")
	flags.BoolVar(&o.verify, "verify", false, "print how far each file, read back, differs from what the player plays")
	flags.BoolVar(&o.force, "force", false, "replace an earlier export")
	flags.BoolVar(&o.json, "json", false, "print the results as JSON")
}

// exportWords are the options, read and checked.
type exportWords struct {
	parts       export.Parts
	starts      export.Starts
	format      wav.Format
	use         terms.Use
	budgetBytes int64 // 0: none
}

// settle reads the options.
func (o *exportOptions) settle(args []string) (w exportWords, err error) {
	switch {
	case len(args) != 1:
		return w, wrongWords("export takes one project; found %d arguments", len(args))
	case o.ask != "" && o.path != "":
		return w, wrongWords("--ask writes letters and -o an instrument: choose one of them")
	case o.ask == "" && o.path == "":
		return w, wrongWords("where to? Name the folder to make with -o OUT")
	case o.rateHz != 0 && (o.rateHz < 8000 || o.rateHz > 192000):
		return w, wrongWords("--rate %d: expected 8000 to 192000 Hz", o.rateHz)
	case o.starts != string(export.FirstStart) && o.starts != string(export.AllStarts):
		return w, wrongWords("--starts: %q: expected first or all", o.starts)
	}
	w.starts = export.Starts(o.starts)
	if w.parts, err = export.ParseParts(o.parts); err != nil {
		return w, wrongWords("--parts: %w", err)
	}
	if w.format, err = wav.ParseFormat(o.format); err != nil {
		return w, wrongWords("--format: %w", err)
	}
	if refusing := w.parts.Refusing(w.format); refusing != nil {
		return w, wrongWords("--format %s: %s holds whole numbers: choose 16 or 24, or leave %s out of --parts",
			w.format, strings.ToUpper(refusing[0]), refusing[0])
	}
	if w.use, err = terms.ParseUse(o.use); err != nil {
		return w, wrongWords("--for: %w", err)
	}
	if o.budget != "" {
		if len(w.parts) == 1 && w.parts.Has(export.Tried) {
			return w, wrongWords("--budget is not for the proof: take another part into --parts")
		}
		if w.budgetBytes, err = parseBytes(o.budget); err != nil {
			return w, wrongWords("--budget: %w", err)
		}
	}
	return w, nil
}

func (o *exportOptions) run(s streams, args []string) error {
	words, err := o.settle(args)
	if err != nil {
		return err
	}
	path, err := mapping.Locate(args[0])
	if err != nil {
		return err
	}
	m, err := mapping.Load(path)
	if err != nil {
		return err
	}
	dir := filepath.Dir(path)
	if o.ask != "" {
		return o.writeLetters(s, dir, m, words.use)
	}
	if err := export.CheckTarget(o.path, dir, m, o.force); err != nil {
		return withOptions(err)
	}
	cycles := openCycles{m: m, dir: dir, rateHz: o.rateHz}
	defer cycles.close()
	var variants budgeted
	defer variants.close()
	job := &export.Job{Map: m, Parts: words.parts, Starts: words.starts, Format: words.format}
	if job.Cycles, err = cycles.openOwn(); err != nil {
		return err
	}
	if err := export.CheckFresh(path, m); err != nil {
		return err
	}
	if job.Date, err = sourceDate(); err != nil {
		return err
	}
	if err := nameJob(job, dir); err != nil {
		return err
	}
	if err := checkObjections(s, dir, m, o.oldBeds); err != nil {
		return err
	}
	if m.Stagger.By != mapping.ByZone && words.starts == export.FirstStart {
		s.notice("the map gives every %s another start, but this export holds one start for each zone: "+
			"--starts all writes a file for each start", m.Stagger.By)
	}
	if words.parts.Has(export.Page) {
		if job.Stems, err = stemsOf(dir, m); err != nil {
			return err
		}
	}
	if words.parts.Has(export.Tried) || words.parts.Has(export.RMID) {
		if job.Performance, err = trial(m, path, job.Cycles); err != nil {
			return err
		}
	}
	usedSec, err := variants.fit(job, &cycles, words.budgetBytes)
	if err != nil {
		return err
	}
	if err := checkCredits(s, job, dir, words.use, usedSec); err != nil {
		return err
	}
	if err := o.write(s, job); err != nil {
		return err
	}
	return project.KeepExport(dir, o.path, string(words.use))
}

// write writes the job. Ctrl-C ends it early.
func (o *exportOptions) write(s streams, job *export.Job) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	bar := newProgress(s.notices, "exporting")
	job.Progress = bar.show
	report, err := job.Write(ctx, o.path, o.force)
	bar.end()
	switch {
	case err != nil && ctx.Err() != nil:
		return interruptedError{fmt.Errorf("interrupted: %s was not written", o.path)}
	case err != nil:
		return withOptions(err)
	}
	return o.report(s, job, report)
}

// withOptions adds to an error the options that mend it.
func withOptions(err error) error {
	switch space := (*export.SpaceError)(nil); {
	case errors.Is(err, export.ErrThere):
		return fmt.Errorf("%w with --force", err)
	case errors.As(err, &space):
		return fmt.Errorf("%w (--parts, --starts first, --format 16, --budget)", err)
	}
	return err
}

// sourceDate is the date of SOURCE_DATE_EPOCH, in seconds since 1970 (reproducible-builds.org); zero where none is
// set.
func sourceDate() (date time.Time, err error) {
	const name = "SOURCE_DATE_EPOCH"
	text, found := os.LookupEnv(name)
	if !found || text == "" {
		return date, nil
	}
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil || seconds < 0 || seconds > 253402300799 { // the year 9999
		return date, wrongWords("%s: found %q, expected seconds since 1970", name, text)
	}
	return time.Unix(seconds, 0), nil
}

// nameJob takes title and artist from the settings. A project without a title is named after its folder.
func nameJob(job *export.Job, dir string) error {
	settings, err := project.Load(dir)
	if err != nil {
		return err
	}
	job.Title, job.Artist = settings.Project.Title, settings.Project.Artist
	if job.Title == "" {
		job.Title = projectName(dir)
	}
	return nil
}

// projectName is what a project without a title is called: as its folder.
func projectName(dir string) string {
	absolute, err := filepath.Abs(dir)
	if err != nil {
		return dir
	}
	return filepath.Base(absolute)
}
