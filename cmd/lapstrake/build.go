package main

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// buildOptions weave the beds of a project.
type buildOptions struct {
	plan     bool
	force    bool
	json     bool
	progress bool
}

func buildCommand() command {
	return command{
		name: "build", words: "DIR",
		summary: "weave the takes into beds, and map them",
		about: `Measures what is new in takes/, gives every take a place, conforms and arranges the
takes into beds, and writes the map that plays them and the ledger of who is heard
where (heard.csv). What is decided for a single take stands in takes.csv, what is
decided for all in lapstrake.toml. Only beds whose takes or settings changed are made
again; a build that was broken off goes on where it stopped. Takes are never changed.
A bed or a map that you edited by hand stays as it is, and the build says so. --force makes
both anew; no copy of them is kept, so put one elsewhere first if you still want it.`,
		example: `lapstrake build boatyard
  lapstrake build boatyard --plan`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &buildOptions{}
			flags.BoolVar(&o.plan, "plan", false, "only tell what would be made, how large it is, and what other "+
				"lengths and grids would cost")
			flags.BoolVar(&o.force, "force", false, "make beds and map anew that were edited by hand")
			flags.BoolVar(&o.json, "json", false, "print the results as JSON")
			flags.BoolVar(&o.progress, "progress", false, "tell how far it is in lines on standard error, for a "+
				"program that waits for it")
			return o.run
		},
	}
}

func (o *buildOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("build takes one project; found %d arguments", len(args))
	}
	return changing(args[0], "build", func(ctx context.Context) error { return o.work(ctx, s, args[0]) })
}

func (o *buildOptions) work(ctx context.Context, s streams, dir string) error {
	if err := updateSheet(ctx, s, dir); err != nil {
		return err
	}
	if o.plan {
		return o.printPlan(s, dir)
	}
	bar := newProgress(s.notices, "building")
	if o.progress {
		bar.lines = s.notices
	}
	report, err := beds.Build(ctx, dir, beds.BuildOptions{Force: o.force, ForceBeds: o.force, Progress: bar.show})
	bar.end()
	if err != nil && ctx.Err() != nil {
		return interruptedError{fmt.Errorf("interrupted: the finished beds stay; run `lapstrake build %s` again to "+
			"go on",
			dir)}
	}
	if err != nil {
		return err
	}
	if o.json {
		if err := json.NewEncoder(s.out).Encode(newBuildResult(report)); err != nil {
			return err
		}
		return illegalBeds(dir, report.Edited)
	}
	return printBuild(s, dir, report)
}

// updateSheet measures what is new in a project's takes.
func updateSheet(ctx context.Context, s streams, dir string) error {
	report, err := measureTakes(ctx, s, dir, false)
	if err == nil {
		tellCodePage(s, report)
	}
	if err == nil && report.Measured > 0 {
		s.notice("%s: %s measured", report.SheetPath, count(report.Measured, "take"))
	}
	return err
}

// buildResult is what build prints as JSON.
type buildResult struct {
	Built        []string                `json:"built"`
	Kept         int                     `json:"kept"`
	Edited       []beds.EditedBed        `json:"edited_beds"`
	Overwritten  []string                `json:"overwritten"`
	Broken       []string                `json:"broken"`
	Map          string                  `json:"map"`
	MapKept      bool                    `json:"map_kept"`
	Nudged       int                     `json:"nudged_zones"`
	NudgesLost   []string                `json:"nudges_lost"`
	Objections   *beds.Objections        `json:"objections"`
	Takes        int                     `json:"takes"`
	LeftOut      []beds.LeftOutRow       `json:"left_out"`
	Far          int                     `json:"moved_too_far"`
	Untuned      []beds.Decision         `json:"untuned"`
	Waiting      []beds.Decision         `json:"waiting"`
	Lowered      []beds.Decision         `json:"lowered"`
	Mended       []beds.Decision         `json:"mended"`
	MovedFar     []beds.Decision         `json:"moved_an_octave"`
	StandOut     []beds.Decision         `json:"stand_out"`
	Misplaced    []string                `json:"misplaced"`
	Thin         []string                `json:"thin"`
	Uneven       []string                `json:"uneven"`
	Darkened     []string                `json:"darkened"`
	Contributors []beds.ContributorHeard `json:"contributors"`
	Heard        []beds.TakeHeard        `json:"heard"`
	Buried       []string                `json:"buried"`
}

func newBuildResult(r *beds.BuildReport) *buildResult {
	result := &buildResult{
		Built: []string{}, Kept: r.Kept, Edited: list(r.Edited), Overwritten: []string{}, Broken: list(r.Broken),
		Map: r.MapPath, MapKept: r.MapKept, Nudged: r.Nudged, NudgesLost: list(r.NudgesLost),
		Objections: r.Objections,
		Takes:      len(r.Rows), LeftOut: list(r.NotUsed()),
		Waiting: list(r.Waiting()), Lowered: list(r.Lowered()), Mended: list(r.Mended()),
		Untuned: list(r.Untuned()), MovedFar: list(r.MovedFar()), StandOut: list(r.StandOut()),
		Far: len(r.Assignment.Far()), Misplaced: misplacedLines(r), Thin: []string{}, Uneven: list(r.Uneven),
		Darkened:     list(r.Darkened),
		Contributors: beds.ByContributor(r.Heard), Heard: r.Heard,
		Buried: []string{},
	}
	for _, slot := range r.Built {
		result.Built = append(result.Built, slot.String())
	}
	for _, slot := range r.Overwritten {
		result.Overwritten = append(result.Overwritten, slot.String())
	}
	for _, thin := range r.Assignment.Thin {
		result.Thin = append(result.Thin, r.Assignment.Slots[thin.Bed].String()+": "+thin.Reason)
	}
	for i := range r.Heard {
		if r.Heard[i].Buried() {
			result.Buried = append(result.Buried, r.Heard[i].Name())
		}
	}
	return result
}

// misplacedLines tells which takes had to go where neither the builder nor the measures would have them.
func misplacedLines(r *beds.BuildReport) []string {
	lines := []string{}
	for _, seat := range r.Assignment.Misplaced() {
		slot := r.Assignment.Slots[seat.Bed]
		line := fmt.Sprintf("%s is in %s: layer %s, strand %s", r.Rows[seat.Index].Name(), slot, slot.Layer,
			r.Settings.StrandTitle(slot.Strand))
		if seat.AgainstWord {
			line += ", against your word: no other take is left for it"
		}
		lines = append(lines, line)
	}
	return lines
}

// mostListed is how many lines of one sort are printed for a person.
const mostListed = 8

func printBuild(s streams, dir string, r *beds.BuildReport) error {
	result := newBuildResult(r)
	kept := result.Kept + len(result.Edited)
	fmt.Fprintf(s.out, "%s in %s: %d made now, %d kept\n", count(result.Takes, "take"),
		count(len(result.Built)+kept, "bed"), len(result.Built), kept)
	listLines(s, "could not be read, made anew", result.Broken)
	listLines(s, "edited by hand, made anew", result.Overwritten)
	listLines(s, "not in the layer or strand of the sheet", result.Misplaced)
	listLines(s, "thin", result.Thin)
	if far := r.Assignment.Far(); len(far) > 0 {
		var lines []string
		for _, seat := range far {
			lines = append(lines, fmt.Sprintf("%s in %s: moved %+.1f semitones, %.0f would still sound like itself",
				r.Rows[seat.Index].Name(), r.Assignment.Slots[seat.Bed], seat.MoveSemitones, seat.LimitSemitones))
		}
		listLines(s, "moved far", lines)
	}
	listLines(s, "off their figures", result.Uneven)
	listLines(s, "darkened, since loud shall be brighter than soft", result.Darkened)
	printHeard(s, r, result)
	listLines(s, "untuned", linesOf(result.Untuned))
	listLines(s, "waiting for your word", linesOf(result.Waiting))
	listLines(s, "off the grid and lowered", linesOf(result.Lowered))
	listLines(s, "clicks mended", linesOf(result.Mended))
	listLines(s, "moved by an octave or more", linesOf(result.MovedFar))
	listLines(s, "standing out", linesOf(result.StandOut))
	listLines(s, "left out", linesOf(result.LeftOut))
	listLines(s, "edited by hand, kept (--force makes them anew)", linesOf(r.Edited))
	if r.MapKept {
		fmt.Fprintf(s.out, "%s: edited by hand, kept (--force generates it anew)\n", r.MapPath)
	} else {
		fmt.Fprintf(s.out, "%s\n", r.MapPath)
	}
	noticeNudges(s, r.MapPath, r.Nudged, r.NudgesLost)
	printObjections(s, dir, r.Objections)
	fmt.Fprintf(s.out, "%s\n", filepath.Join(dir, project.HeardFile))
	return illegalBeds(dir, r.Edited)
}

// noticeNudges says what became of nudges that were kept in a map that was made anew.
func noticeNudges(s streams, path string, nudged int, lost []string) {
	if nudged > 0 {
		s.notice("%s: kept nudges of %s went on into the new map (--force drops them)", path, count(nudged, "zone"))
	}
	for _, zone := range lost {
		s.notice("%s: the kept nudges of %s are gone: the new map has no such zone", path, zone)
	}
}

// illegalBeds is an error where a bed that was edited by hand and kept is not shaped as the settings ask for.
func illegalBeds(dir string, edited []beds.EditedBed) error {
	var wrong []string
	for _, bed := range edited {
		if len(bed.Off) > 0 {
			wrong = append(wrong, bed.Bed+": "+strings.Join(bed.Off, "; "))
		}
	}
	if wrong == nil {
		return nil
	}
	return foundWrong("beds edited by hand are not shaped as the settings ask for: save them in that shape, or make "+
		"them anew with `lapstrake build %s --force`:\n%s", dir, strings.Join(wrong, "\n"))
}

// linesOf gives each item as a line.
func linesOf[T fmt.Stringer](items []T) (all []string) {
	for _, item := range items {
		all = append(all, item.String())
	}
	return all
}

// listLines prints some lines under a heading, and how many more there are.
func listLines(s streams, heading string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(s.out, "%s (%d):\n", heading, len(lines))
	for _, line := range lines[:min(len(lines), mostListed)] {
		fmt.Fprintf(s.out, "  %s\n", line)
	}
	if more := len(lines) - mostListed; more > 0 {
		fmt.Fprintf(s.out, "  and %d more; --json lists all\n", more)
	}
}

// printHeard is the short table of who is heard, the least heard first.
func printHeard(s streams, r *beds.BuildReport, result *buildResult) {
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "contributor\ttakes\tbeds\theard\tburied")
	for _, c := range result.Contributors[:min(len(result.Contributors), mostListed)] {
		fmt.Fprintf(table, "%s\t%d\t%d\t%.0f s\t%d\n", takes.ContributorName(c.Contributor), c.Takes,
			c.Beds, c.Sec, c.Buried)
	}
	table.Flush()
	if more := len(result.Contributors) - mostListed; more > 0 {
		fmt.Fprintf(s.out, "and %s heard longer\n", count(more, "contributor"))
	}
	if len(result.Buried) > 0 {
		s.notice("used but nowhere heard for long enough: %s; raise their gain_db in takes.csv, or give their beds "+
			"fewer takes",
			strings.Join(result.Buried, ", "))
	}
}
