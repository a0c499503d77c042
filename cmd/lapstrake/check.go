// Checks a project as a listener would, and says what to mend.

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"strings"

	"github.com/spf13/pflag"

	"lapstrake/engine/check"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// checkOptions are what check is told.
type checkOptions struct {
	only     []string
	all      bool
	against  string
	report   string
	pictures string
	force    bool
	waive    string
	reason   string
	json     bool
	schema   bool
	progress bool
}

func checkCommand() command {
	return command{
		name: "check", words: "DIR [KEY…]",
		summary: "find what the ear will complain about, and its cure",
		about: `Measures what a listener would complain about: chords that come back soon, cycles that
begin together, seams, clicks, splices that beat, what is out of tune, takes that nobody
hears, uneven beds and keys, dynamics that dip, full chords against the ceiling. Each
finding has its place, its figure, the limit that it is beyond, how sure that is, and its
cure. The limits stand in lapstrake.toml, section check. KEY… is the chord that is held; an
open chord around middle C if none is given. The exit code is 1 where something fails.`,
		example: "lapstrake check boatyard C3 G3 E4 B4",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &checkOptions{}
			flags.StringSliceVar(&o.only, "only", nil,
				"checks to run, with commas: "+strings.Join(check.Names(), ", "))
			offer(flags, "only", check.Names()...)
			flags.BoolVar(&o.all, "all", false, "print all figures and all findings")
			flags.StringVar(&o.against, "against", "", "compare with another `PROJECT` or map, with a report that "+
				"--json printed, or with the last run: last")
			flags.StringVar(&o.report, "report", "",
				"write the report, with pictures and sounds, as one page: `PAGE.html`")
			flags.StringVar(&o.pictures, "pictures", "", "write all pictures, as PNG and SVG, into a `FOLDER`")
			flags.BoolVar(&o.force, "force", false, "replace a page and pictures that are there")
			flags.StringVar(&o.waive, "waive", "", "let a `FINDING` stand, named by its id; it goes into waived.csv")
			flags.StringVar(&o.reason, "because", "", "the `REASON` for --waive")
			flags.BoolVar(&o.json, "json", false, "print the report as JSON")
			flags.BoolVar(&o.schema, "schema", false, "print the JSON Schema of what --json prints, and check nothing")
			flags.BoolVar(&o.progress, "progress", false, "tell how far it is in lines on standard error, for a "+
				"program that waits for it")
			return o.run
		},
	}
}

func (o *checkOptions) run(s streams, args []string) error {
	if o.schema {
		_, err := s.out.Write(check.Schema)
		return err
	}
	if len(args) == 0 {
		return wrongWords("check takes a project, and the keys of a chord if you like")
	}
	path, err := mapping.Locate(args[0])
	if err != nil {
		return err
	}
	if o.waive != "" || o.reason != "" {
		return o.addWaiver(s, filepath.Dir(path))
	}
	in, err := o.input(s, path, args[1:])
	if err != nil {
		return err
	}
	defer in.Cycles.Close()
	if err := o.checkFiles(filepath.Dir(path)); err != nil {
		return err
	}
	noticeObjections(s, args[0])
	before, err := o.before(s, filepath.Dir(path), args[1:])
	if err != nil {
		return err
	}
	report, err := o.check(s, in)
	if err != nil {
		return err
	}
	if len(o.only) == 0 {
		check.KeepReport(filepath.Dir(path), report)
	}
	err = o.write(s, before, report)
	if err == nil {
		err = o.writeFiles(s, in, report)
	}
	if err == nil && report.Verdict == check.Fails {
		err = foundWrong("%s: the check fails", path)
	}
	return err
}

// checkBytes is what check tries to stay within: chords of minutes leave much behind that is not needed any more.
const checkBytes = 400 << 20

// check shows how far the checks are.
func (o *checkOptions) check(s streams, in *check.Input) (*check.Report, error) {
	debug.SetMemoryLimit(checkBytes)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	bar := newProgress(s.notices, "checking")
	if o.progress {
		bar.lines = s.notices
	}
	defer bar.end()
	report, err := check.Run(ctx, *in, func(what string, part float64) {
		bar.label = fmt.Sprintf("checking %-9s", what)
		bar.show(part)
	})
	if errors.Is(err, context.Canceled) {
		return nil, interruptedError{errors.New("interrupted")}
	}
	return report, err
}

// before is the report to compare with; nil where none is asked for.
func (o *checkOptions) before(s streams, dir string, keys []string) (*check.Report, error) {
	switch {
	case o.against == "":
		return nil, nil
	case o.against == "last":
		return check.LastReport(dir)
	case strings.HasSuffix(o.against, ".json"):
		return check.ReadReport(o.against)
	}
	path, err := mapping.Locate(o.against)
	if err != nil {
		return nil, err
	}
	in, err := o.input(s, path, keys)
	if err != nil {
		return nil, err
	}
	defer in.Cycles.Close()
	return o.check(s, in)
}

func (o *checkOptions) write(s streams, before, report *check.Report) error {
	switch {
	case before != nil && o.json:
		return json.NewEncoder(s.out).Encode(check.Compare(before, report))
	case before != nil:
		writeComparison(s.out, check.Compare(before, report), o.all)
	case o.json:
		return json.NewEncoder(s.out).Encode(report)
	default:
		writeCheck(s.out, report, o.all)
	}
	return nil
}

// input opens what is checked.
func (o *checkOptions) input(s streams, mapPath string, words []string) (*check.Input, error) {
	dir := filepath.Dir(mapPath)
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	m, err := mapping.Load(mapPath)
	if err != nil {
		return nil, err
	}
	keys, err := parseKeys(s, m.MiddleC, splitWords(strings.Join(words, ",")))
	if err != nil {
		return nil, err
	}
	in := &check.Input{MapPath: mapPath, Settings: settings, Keys: keys, Parts: o.only}
	for _, name := range o.only {
		if err := check.Known(name); err != nil {
			return nil, wrongWords("--only %w", err)
		}
	}
	if in.Waivers, err = check.ReadWaivers(dir); err != nil {
		return nil, err
	}
	if in.Cycles, err = stream.OpenCycles(m, dir, stream.Reduction{}); err != nil {
		return nil, fmt.Errorf("%s: %w", mapPath, err)
	}
	return in, nil
}

// addWaiver writes a waiver down instead of checking.
func (o *checkOptions) addWaiver(s streams, dir string) error {
	if o.waive == "" || strings.TrimSpace(o.reason) == "" {
		return wrongWords("--waive and --because go together: a finding, and why it may stand")
	}
	if err := check.AddWaiver(dir, check.Waiver{ID: o.waive, Reason: o.reason}); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%s: %s stands, because %s\n", filepath.Join(dir, project.WaivedFile), o.waive, o.reason)
	return nil
}
