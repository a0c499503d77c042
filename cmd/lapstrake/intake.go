// Measures the takes of a project and tells what came in.

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

// intakeOptions are what intake is told.
type intakeOptions struct {
	semicolons bool
	json       bool
}

func intakeCommand() command {
	return command{
		name: "intake", words: "DIR",
		summary: "measure the takes and bring the take sheet up to date",
		about: `Measures every recording in DIR/takes and writes the take sheet, DIR/takes.csv, which
any spreadsheet opens. The first columns are yours to fill in: use, contributor, credit,
consent, terms, title, layer, strand, key, gain, partials kept, kind, bed, favour,
the stretch of the file, remarks. The measures follow.
Run intake again whenever recordings are added, changed, moved or removed. Your columns
stay as they are, and only what is new is measured. The recordings are never changed.
Recordings that cannot be read get a row that says why; the exit code is then 1.
Ctrl-C keeps what was measured so far. The first intake also writes the settings,
DIR/lapstrake.toml, with the defaults.`,
		example: "lapstrake intake boatyard",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &intakeOptions{}
			flags.BoolVar(&o.semicolons, "semicolons", false,
				"write the sheet with semicolons and decimal commas, as some spreadsheets expect")
			flags.BoolVar(&o.json, "json", false, "print the summary as JSON")
			return o.run
		},
	}
}

func (o *intakeOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("intake takes one folder; found %d arguments", len(args))
	}
	return changing(args[0], "intake", func(ctx context.Context) error { return o.work(ctx, s, args[0]) })
}

func (o *intakeOptions) work(ctx context.Context, s streams, dir string) error {
	report, err := measureTakes(ctx, s, dir, o.semicolons)
	if err != nil {
		return err
	}
	tellCodePage(s, report)
	summary := summarise(report)
	if !o.json {
		summary.print(s)
	} else if err := json.NewEncoder(s.out).Encode(summary); err != nil {
		return err
	}
	return summary.unreadable()
}

// unreadable is an error when recordings that are to be used could not be read; the sheet is written all the same.
func (sum *intakeSummary) unreadable() error {
	files, first := 0, ""
	for _, f := range sum.Findings {
		if f.Flag == takes.Unreadable {
			if files++; files == 1 {
				first = f.Take
			}
		}
	}
	if files == 0 {
		return nil
	}
	return foundWrong("%s could not be read, the first of them %s; %s is written and its column problem says why: "+
		"get them again, or set use to no",
		count(files, "recording"), first, project.SheetFile)
}

// tellCodePage says that the sheet is in another encoding now than it was found in.
func tellCodePage(s streams, report *takes.Report) {
	if report.Sheet.Windows1252() {
		s.notice("%s: was no UTF-8 and is read as Windows-1252; it is saved as UTF-8 now: look whether letters such "+
			"as é and ü are right",
			report.SheetPath)
	}
}

// workBytes is what intake and build try to stay within: long takes leave much behind that is not needed any more.
const workBytes = 700 << 20

// measureTakes measures what is new in a project's takes and brings its sheet up to date. A project without settings
// gets a file of the defaults.
func measureTakes(ctx context.Context, s streams, dir string, semicolons bool) (*takes.Report, error) {
	debug.SetMemoryLimit(workBytes)
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	bar := newProgress(s.notices, "measuring takes")
	report, err := takes.Intake(ctx, dir, takes.IntakeOptions{
		SheetOptions: takes.OptionsOf(&settings), Semicolons: semicolons, Progress: bar.show})
	bar.end()
	switch {
	case err != nil && ctx.Err() != nil && report != nil:
		return nil, interruptedError{fmt.Errorf("interrupted: %s keeps the %s measured so far; run it again to go on",
			report.SheetPath, count(report.Measured, "take"))}
	case err != nil && ctx.Err() != nil:
		return nil, interruptedError{errors.New("interrupted: no take was measured yet, and the sheet is as it was")}
	case err != nil:
		return nil, err
	}
	if path := filepath.Join(dir, project.SettingsFile); !exists(path) {
		if err := settings.Save(dir); err != nil {
			return nil, err
		}
		s.notice("%s: written with the defaults; change there what is decided for the whole instrument", path)
	}
	return report, nil
}

// intakeSummary is what intake prints.
type intakeSummary struct {
	Sheet    string           `json:"sheet"`
	Takes    int              `json:"takes"`
	Used     int              `json:"used"`
	Measured int              `json:"measured"`
	New      []string         `json:"new"`
	Changed  []string         `json:"changed"`
	Moved    []takes.Move     `json:"moved"`
	Missing  []string         `json:"missing"`
	Kinds    []kindCount      `json:"kinds"`
	Flags    []flagCount      `json:"flags"`
	Unsigned []takes.Unsigned `json:"unsigned"`
	Findings []takes.Finding  `json:"findings"`
	LeftOut  []takes.LeftOut  `json:"left_out"`
	Hint     mapping.Naming   `json:"middle_c_hint,omitempty"`
}

type kindCount struct {
	Kind    measure.Kind `json:"kind"`
	Takes   int          `json:"takes"`
	Used    int          `json:"used"`
	Pitched int          `json:"pitched"`
	Seconds float64      `json:"seconds"`
}

type flagCount struct {
	Flag  measure.Flag `json:"flag"`
	Takes int          `json:"takes"`
	First string       `json:"first"`
}

func summarise(report *takes.Report) *intakeSummary {
	// Lists that are empty are [] in JSON.
	sum := &intakeSummary{Missing: []string{}, Flags: []flagCount{},
		Sheet: report.SheetPath, Takes: len(report.Sheet.Rows), Measured: report.Measured,
		New: list(report.New), Changed: list(report.Changed), Moved: list(report.Moved), LeftOut: list(report.LeftOut),
		Unsigned: list(report.Sheet.Unsigned()), Findings: list(report.Findings()), Hint: report.NamingHint(),
		Kinds: []kindCount{{Kind: measure.Struck}, {Kind: measure.Held}, {Kind: measure.Noisy}}}
	for i := range report.Sheet.Rows {
		row := &report.Sheet.Rows[i]
		sum.countFlags(row)
		if row.Missing {
			sum.Missing = append(sum.Missing, row.Name())
			continue
		}
		if row.Usable() {
			sum.Used++
		}
		if at := slices.IndexFunc(sum.Kinds, func(k kindCount) bool { return k.Kind == row.UsedKind() }); at >= 0 {
			sum.Kinds[at].add(row)
		}
	}
	slices.SortStableFunc(sum.Flags, func(a, b flagCount) int { return b.Takes - a.Takes })
	return sum
}

func (k *kindCount) add(row *takes.Row) {
	k.Takes++
	k.Seconds += row.Seconds
	if row.Use {
		k.Used++
	}
	if row.Pitch.Sure() {
		k.Pitched++
	}
}

func (sum *intakeSummary) countFlags(row *takes.Row) {
	for _, flag := range row.Flags {
		at := slices.IndexFunc(sum.Flags, func(c flagCount) bool { return c.Flag == flag })
		if at < 0 {
			at = len(sum.Flags)
			sum.Flags = append(sum.Flags, flagCount{Flag: flag, First: row.Name()})
		}
		sum.Flags[at].Takes++
	}
}

func (sum *intakeSummary) print(s streams) {
	fmt.Fprintf(s.out, "%s: %s, %d used; %s\n", sum.Sheet, count(sum.Takes, "take"), sum.Used, sum.changes())
	if sum.Takes == 0 {
		s.notice("no recordings in %s yet: put them there, in a folder for each contributor, and run intake again",
			project.TakesFolder)
		return
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprint(table, "\nkind\ttakes\tused\twith a sure pitch\tlength\n")
	for _, k := range sum.Kinds {
		fmt.Fprintf(table, "%s\t%d\t%d\t%d\t%.1f s\n", k.Kind, k.Takes, k.Used, k.Pitched, k.Seconds)
	}
	if len(sum.Flags) > 0 {
		fmt.Fprint(table, "\nflag\ttakes\tfirst\n")
		for _, f := range sum.Flags {
			fmt.Fprintf(table, "%s\t%d\t%s\n", f.Flag, f.Takes, f.First)
		}
	}
	if len(sum.Unsigned) > 0 {
		fmt.Fprint(table, "\nwithout credit or consent\ttakes\tno credit\tno consent\n")
		for _, u := range sum.Unsigned {
			fmt.Fprintf(table, "%s\t%d\t%d\t%d\n", takes.ContributorName(u.Contributor), len(u.Takes),
				u.NoCredit, u.NoConsent)
		}
	}
	table.Flush()
	sum.printFindings(s)
	for _, left := range sum.LeftOut {
		s.notice("%s: left out: %s", left.Path, left.Why)
	}
	if sum.Hint != "" {
		s.notice("the names of the files fit middle C (key 60) as %s: set middle_c to that in %s, "+
			"or the keys that you name are an octave off", sum.Hint, project.SettingsFile)
	}
}

// changes says what is different from the last intake.
func (sum *intakeSummary) changes() string {
	var words []string
	for _, c := range []struct {
		n    int
		what string
	}{
		{len(sum.New), "new"}, {len(sum.Changed), "changed"}, {len(sum.Moved), "moved"},
		{len(sum.Missing), "missing"}, {sum.Measured, "measured"},
	} {
		if c.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	if len(words) == 0 {
		return "nothing has changed"
	}
	return strings.Join(words, ", ")
}

const mostAlike = 3 // findings shown of one flag

func (sum *intakeSummary) printFindings(s streams) {
	shown := map[measure.Flag]int{}
	for i, f := range sum.Findings {
		if i == 0 {
			fmt.Fprint(s.out, "\nlook at these first\n")
		}
		if shown[f.Flag]++; shown[f.Flag] <= mostAlike {
			fmt.Fprintf(s.out, "row %d, %s: %s: %s\n", f.Row, f.Take, f.Flag, f.Advice)
		}
		last := i+1 == len(sum.Findings) || sum.Findings[i+1].Flag != f.Flag
		if more := shown[f.Flag] - mostAlike; last && more > 0 {
			fmt.Fprintf(s.out, "and %d more: %s\n", more, f.Flag)
		}
	}
}
