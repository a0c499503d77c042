// Running the checks.

package check

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"lapstrake/engine/stream"
	"lapstrake/mapping/project"
)

// Input is what is checked and how.
type Input struct {
	MapPath  string         // of the map, which lies in the project's folder
	Cycles   *stream.Cycles // of that map; heads are not needed
	Settings project.Settings
	Keys     []int    // the chord that is held; none: DefaultChord
	Parts    []string // names of checks; none: all
	Waivers  []Waiver
}

// Report is the answer. Schema describes it as JSON.
type Report struct {
	Layout
	Verdict Verdict      `json:"verdict"`
	Parts   []PartReport `json:"parts"`

	shown *Shown
}

// Run runs the checks. progress is called with what is being measured and the part of all that is done, 0 to 1; it may
// be nil. An error is one of a file, or ctx's.
func Run(ctx context.Context, in Input, progress func(what string, part float64)) (*Report, error) {
	chosen, err := choose(in.Parts)
	if err != nil {
		return nil, err
	}
	if progress == nil {
		progress = func(string, float64) {}
	}
	s := newSubject(in)
	report := &Report{Layout: layout, Verdict: Passes}
	of, err := s.state()
	if err != nil {
		return nil, err
	}
	for i, part := range chosen {
		s.progress = func(done float64) { progress(part.name, (float64(i)+done)/float64(len(chosen))) }
		s.progress(0)
		said := PartReport{Name: part.name, About: part.about, Figures: []Figure{}, Findings: []Finding{}}
		if err := part.measure(ctx, s, &said); err != nil {
			return nil, err
		}
		said.gather(s.name)
		waive(said.Findings, in.Waivers)
		said.conclude()
		said.markDrawings()
		report.Parts = append(report.Parts, said)
		if said.Verdict.rank() > report.Verdict.rank() {
			report.Verdict = said.Verdict
		}
	}
	report.shown = s.shown(report, of)
	if len(in.Parts) == 0 {
		s.cache.forget()
	}
	return report, nil
}

// Names lists the checks in their order.
func Names() []string {
	names := make([]string, len(parts))
	for i, p := range parts {
		names[i] = p.name
	}
	return names
}

// Known returns an error for a name that is no check's.
func Known(name string) error {
	if !slices.Contains(Names(), name) {
		return fmt.Errorf("%q: expected one of %s", name, strings.Join(Names(), ", "))
	}
	return nil
}

// choose finds checks by their names.
func choose(names []string) (chosen []part, err error) {
	if len(names) == 0 {
		return parts, nil
	}
	for _, name := range names {
		if err := Known(name); err != nil {
			return nil, err
		}
	}
	for _, p := range parts {
		if slices.Contains(names, p.name) {
			chosen = append(chosen, p)
		}
	}
	return chosen, nil
}
