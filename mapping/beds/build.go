// Build: from the take sheet to beds and a map that plays them.

package beds

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/whole"
	"lapstrake/mapping/work"
)

// leftOverTime is how long nobody has written to a temporary file of a build that was killed.
const leftOverTime = 10 * time.Minute

// ErrNoTakes ends a build that has nothing to build from. Nothing was changed then.
var ErrNoTakes = errors.New("no take is left to build beds from")

// BuildOptions say how a build is watched and what it may overwrite.
type BuildOptions struct {
	Force     bool               // replace a map that was edited by hand
	ForceBeds bool               // make beds anew that were edited by hand
	Progress  func(part float64) // called with 0 to 1, never from two goroutines at once; may be nil
}

// Build makes the beds that the settings of the project in dir ask for from the takes of its sheet, each whole or not
// at all, and then the map and the ledger of who is heard in it (heard.csv). Beds whose takes and settings are the
// same as before stay as they are, and so do beds that were edited by hand, unless ForceBeds asks for them. Takes are
// only read. The first error ends the build, as does the end of ctx, whose error is then returned; the finished beds
// stay, and the next build goes on from there. A sheet without a take to use gives ErrNoTakes.
func Build(ctx context.Context, dir string, o BuildOptions) (*BuildReport, error) {
	b := &builder{dir: dir, options: o}
	b.sounds = newSoundShelf(b.clean)
	if err := b.open(); err != nil {
		return nil, err
	}
	if err := b.renderBeds(ctx); err != nil {
		return nil, err
	}
	if err := b.updateMap(); err != nil {
		return nil, err
	}
	var err error
	if b.report.Heard, err = b.heard(ctx); err != nil {
		return nil, err
	}
	if err := saveHeard(filepath.Join(dir, project.HeardFile), b.report); err != nil {
		return nil, err
	}
	return b.report, b.finish()
}

// finish forgets the beds that are not wanted any more, unless a map that was kept may play them, and then compares
// the map with the sheet.
func (b *builder) finish() error {
	var err error
	b.record.Making, b.record.Unfinished = nil, false
	if b.report.MapKept {
		err = b.record.save()
	} else {
		err = b.record.forget(b.dir, b.recipes)
	}
	if err != nil {
		return err
	}
	b.report.Objections = &Objections{}
	// a map that was edited by hand may be broken: who plays it is told
	if m, err := mapping.Load(b.report.MapPath); err == nil {
		b.report.Objections, err = Compare(b.dir, m)
		return err
	}
	return nil
}

// builder is one build.
type builder struct {
	dir      string
	options  BuildOptions
	report   *BuildReport
	sounds   *soundShelf
	recipes  []recipe // one a slot
	record   *buildRecord
	editAnew bool // a bed was edited since the last build
}

// open reads the settings and the sheet and decides who goes where.
func (b *builder) open() error {
	settings, err := project.Load(b.dir)
	if err != nil {
		return err
	}
	sheet, err := takes.ReadSheet(filepath.Join(b.dir, project.SheetFile), takes.OptionsOf(&settings))
	if err != nil {
		return err
	}
	b.report = &BuildReport{Settings: settings, MapPath: filepath.Join(b.dir, mapping.FileName)}
	b.report.Rows, b.report.LeftOut = UsableRows(sheet, settings.Project.RequireConsent)
	if len(b.report.Rows) == 0 {
		return fmt.Errorf("%s: %w: %s", filepath.Join(b.dir, project.SheetFile), ErrNoTakes, b.report.whyNone())
	}
	if b.record, err = readRecord(filepath.Join(b.dir, project.BedsFolder, project.BuiltFile)); err != nil {
		return err
	}
	candidates := Candidates(b.report.Rows)
	b.report.Assignment = b.record.assignment(candidates, b.report.Rows, &settings)
	b.recipes = recipes(b.report.Rows, b.report.Assignment, &settings)
	b.recallDarker()
	return nil
}

// renderBeds renders what is not there yet, on all processors.
func (b *builder) renderBeds(ctx context.Context) error {
	if err := os.MkdirAll(filepath.Join(b.dir, project.BedsFolder), 0o777); err != nil {
		return err
	}
	if err := whole.Sweep(filepath.Join(b.dir, project.BedsFolder), leftOverTime); err != nil {
		return err
	}
	missing, err := b.missing()
	if err != nil {
		return err
	}
	if err := b.meetCompanies(ctx, missing); err != nil {
		return err
	}
	if err := b.record.begin(missing); err != nil {
		return err
	}
	roots := map[int][]*recipe{}
	for _, r := range missing {
		roots[r.Slot.Root] = append(roots[r.Slot.Root], r)
	}
	inOrder := slices.Sorted(maps.Keys(roots))
	tally := work.NewTally(float64(len(missing)), b.options.Progress)
	err = work.Each(ctx, len(inOrder), func(ctx context.Context, i int) error {
		return b.renderRoot(ctx, roots[inOrder[i]], func() { tally.Add(1) })
	})
	if err != nil {
		return err
	}
	for _, r := range missing {
		b.report.Built = append(b.report.Built, r.Slot)
	}
	b.tellDarker()
	for i := range b.recipes {
		if !b.isEdited(&b.recipes[i]) { // whose levels nobody has measured
			b.report.Uneven = append(b.report.Uneven, b.record.unevenness(&b.recipes[i])...)
		}
	}
	return nil
}

// missing finds the beds that are to be made, and notes what lies in the place of the others.
func (b *builder) missing() (all []*recipe, err error) {
	for i := range b.recipes {
		r := &b.recipes[i]
		if len(r.Parts) == 0 {
			continue
		}
		path := b.bedPath(r.Slot)
		found, broken := b.record.find(r, path)
		switch {
		case found == bedAsMade:
			b.report.Kept++
			continue
		case found == bedEdited && !b.options.ForceBeds:
			if edit := b.record.Beds[r.Slot.String()].Edit; edit == nil || !edit.is(path) {
				b.editAnew = true
			}
			kept, err := b.record.keep(r, path)
			if err != nil {
				return nil, err
			}
			b.report.Edited = append(b.report.Edited, kept)
			continue
		case found == bedEdited:
			b.report.Overwritten = append(b.report.Overwritten, r.Slot)
		case found == bedBroken:
			b.report.Broken = append(b.report.Broken, broken.Error())
		}
		all = append(all, r)
	}
	return all, nil
}

func (b *builder) bedPath(slot mapping.BedName) string {
	return filepath.Join(b.dir, project.BedsFolder, slot.String())
}

// updateMap writes the map that plays the beds, or leaves one that was edited by hand.
func (b *builder) updateMap() error {
	m, err := b.plannedMap()
	if err != nil {
		return err
	}
	updated, err := m.Update(b.report.MapPath, mapping.Updating{
		Force: b.options.Force, BedsChanged: len(b.report.Built) > 0 || b.record.Unfinished || b.editAnew,
	})
	b.report.MapKept, b.report.Nudged, b.report.NudgesLost = updated.Kept, updated.Nudged, updated.Lost
	return err
}

// plannedMap is the map that plays the beds of the recipes.
func (b *builder) plannedMap() (*mapping.Map, error) {
	var found []mapping.Bed
	for _, r := range b.recipes {
		if len(r.Parts) > 0 {
			found = append(found, project.BedAt(r.Slot))
		}
	}
	m, _, err := b.report.Settings.Map(found)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.dir, err)
	}
	return m, nil
}
