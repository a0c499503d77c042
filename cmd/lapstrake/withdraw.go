// The command withdraw.

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/pflag"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/whole"
	"lapstrake/mapping/withdraw"
)

// withdrawOptions are what withdraw is told.
type withdrawOptions struct {
	undo  bool
	force bool
	json  bool
}

func withdrawCommand() command {
	return command{
		name: "withdraw", words: "DIR WHO…",
		summary: "take somebody's takes out, and prove that nothing holds them",
		about: `Takes all takes of a contributor, or single takes, out of the project: WHO is a name of
the column contributor or the path of a take. The takes move untouched into
DIR/withdrawn, with the cells of their rows. Then the beds that held them are made anew,
those edited by hand too, and every file of the project is searched for what is left. When
no take is left, beds, ledger and map go. A withdrawal that was broken off goes on when the
command is run again. Exports and recordings elsewhere cannot be reached: delete those
yourself. With --undo the takes come back.`,
		example: `lapstrake withdraw boatyard fen-ferriby
  lapstrake withdraw boatyard fen-ferriby --undo`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &withdrawOptions{}
			flags.BoolVar(&o.undo, "undo", false, "bring withdrawn takes back")
			flags.BoolVar(&o.force, "force", false, "overwrite a map that was edited by hand, since it may play "+
				"beds that hold the takes")
			flags.BoolVar(&o.json, "json", false, "print the results as JSON")
			return o.run
		},
	}
}

// withdrawResult is what withdraw prints as JSON.
type withdrawResult struct {
	Takes  []withdraw.Take `json:"takes"`
	Edited []string        `json:"edited_beds,omitempty"` // that held them, and went although a person had edited them
	Stands string          `json:"stands,omitempty"`      // what is left of a project without takes
	Proof  *withdraw.Proof `json:"proof,omitempty"`
}

func (o *withdrawOptions) run(s streams, args []string) error {
	if len(args) < 2 {
		return wrongWords("withdraw takes a project and the names of contributors or takes; found %d arguments",
			len(args))
	}
	dir := args[0]
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	release, err := project.Lock(dir, "withdraw")
	if err != nil {
		return err
	}
	defer release()
	if err := o.work(ctx, s, dir, args[1:]); err != nil {
		if ctx.Err() != nil {
			return interruptedError{fmt.Errorf("interrupted: run the same command again to go on; until then beds "+
				"of %s may not be as the sheet says", dir)}
		}
		return err
	}
	return project.SettleStates(dir, "withdraw")
}

func (o *withdrawOptions) work(ctx context.Context, s streams, dir string, names []string) error {
	if err := whole.SweepAbandoned(dir); err != nil { // what killed work has left may hold anything
		return err
	}
	if err := updateSheet(ctx, s, dir); err != nil {
		return err
	}
	paths, already, err := o.choose(dir, names)
	if err != nil {
		return err
	}
	if o.undo {
		return o.bringBack(ctx, s, dir, paths)
	}
	lying, err := withdraw.Lying(dir, already)
	if err != nil {
		return err
	}
	before, err := withdraw.LookAtBeds(dir)
	if err != nil {
		return err
	}
	gone, err := withdraw.Out(dir, paths)
	if err != nil {
		return err
	}
	gone = append(gone, lying...)
	edited, err := before.RemoveEdited(dir, gone)
	if err != nil {
		return err
	}
	stands, buildErr := o.build(ctx, s, dir)
	// Earlier states of the project, earlier answers of builds and reports of check name the takes.
	if err := errors.Join(project.ForgetStates(dir), beds.ForgetEarlier(dir), project.ForgetChecks(dir)); err != nil {
		return err
	}
	proof, err := withdraw.Prove(dir, gone, before)
	if err != nil {
		return err
	}
	if err := o.report(s, dir, &withdrawResult{list(gone), edited, stands, proof}); err != nil {
		return err
	}
	if buildErr != nil {
		return fmt.Errorf("the takes lie in %s now, but the beds could not be made anew: %w",
			filepath.Join(dir, project.WithdrawnFolder), buildErr)
	}
	if len(proof.Remains) > 0 {
		return foundWrong("not all is gone: %s; delete what you do not need, or, where it is a bed of a map edited "+
			"by hand, run `lapstrake build %s --force`",
			strings.Join(proof.Remains, "; "), dir)
	}
	return nil
}

// choose finds the takes that the words mean. already are takes that lie with the withdrawn ones and not in the sheet:
// an earlier run may have been broken off before its proof.
func (o *withdrawOptions) choose(dir string, words []string) (paths, already []string, err error) {
	withdrawn, err := withdraw.Withdrawn(dir)
	if err != nil {
		return nil, nil, err
	}
	rows := withdrawn
	if !o.undo {
		if rows, err = sheetRows(dir); err != nil {
			return nil, nil, err
		}
	}
	for _, word := range words {
		chosen, err := withdraw.Choose(rows, word)
		if err == nil {
			paths = append(paths, chosen...)
			continue
		}
		before, none := withdraw.Choose(withdrawn, word)
		if o.undo || none != nil {
			return nil, nil, wordsError{err}
		}
		already = append(already, before...)
	}
	slices.Sort(paths)
	return slices.Compact(paths), already, nil
}

func sheetRows(dir string) ([]takes.Row, error) {
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if err != nil {
		return nil, err
	}
	return sheet.Rows, nil
}

func (o *withdrawOptions) bringBack(ctx context.Context, s streams, dir string, paths []string) error {
	back, err := withdraw.Back(dir, paths)
	if err != nil {
		return err
	}
	stands, err := o.build(ctx, s, dir)
	if err != nil {
		return err
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(&withdrawResult{Takes: list(back), Stands: stands})
	}
	for _, take := range back {
		if take.Kept == "" {
			fmt.Fprintf(s.out, "the row of %s is back; its file is missing\n", take.Path)
			continue
		}
		fmt.Fprintf(s.out, "%s is back in %s\n", take.Path, project.TakesFolder)
	}
	if stands != "" {
		fmt.Fprintln(s.out, stands)
	}
	return nil
}

// build makes the beds anew from what the sheet holds now. Where no take is left, what was built goes; stands says
// what is there then.
func (o *withdrawOptions) build(ctx context.Context, s streams, dir string) (stands string, err error) {
	if err := updateSheet(ctx, s, dir); err != nil {
		return "", err
	}
	bar := newProgress(s.notices, "building")
	_, err = beds.Build(ctx, dir, beds.BuildOptions{Force: o.force, Progress: bar.show})
	bar.end()
	if !errors.Is(err, beds.ErrNoTakes) {
		return "", err
	}
	mapKept, err := beds.Clear(dir, o.force)
	if err != nil {
		return "", err
	}
	if mapKept {
		return fmt.Sprintf("no take is left to build from: the beds and %s are gone; %s was edited by hand and "+
			"stays, without beds to play (--force takes it away)", project.HeardFile, mapping.FileName), nil
	}
	return fmt.Sprintf("no take is left to build from: the beds, %s and %s are gone; settings and sheet stay",
		project.HeardFile, mapping.FileName), nil
}

func (o *withdrawOptions) report(s streams, dir string, r *withdrawResult) error {
	if o.json {
		return json.NewEncoder(s.out).Encode(r)
	}
	for _, take := range r.Takes {
		kept := "its file was missing"
		if take.Kept != "" {
			kept = "kept untouched as " + take.Kept
		}
		fmt.Fprintf(s.out, "%s (%s): %s\n", take.Path, takes.ContributorName(take.Contributor), kept)
	}
	listLines(s, "edited by hand, and gone all the same since they held them", r.Edited)
	if r.Stands != "" {
		fmt.Fprintln(s.out, r.Stands)
	}
	p := r.Proof
	fmt.Fprintf(s.out, "beds that held them: %d made anew, %d removed; others: %d the same byte for byte, %d made "+
		"again since other takes moved\n",
		len(p.Remade), len(p.Removed), p.Same, len(p.Rearranged))
	if len(p.Remains) == 0 {
		fmt.Fprintf(s.out, "%d files searched by content, path and hash: none holds or names them any more\n", p.Files)
	}
	listLines(s, "earlier states still name them, and hold no sound of them", p.States)
	fmt.Fprintln(s.out, "exports and recordings outside of the project cannot be reached: delete those yourself")
	return nil
}
