// Where a project stands: what came in, what is decided, which beds are as the sheet asks.

package beds

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// Standing tells where a project stands. Lists are never nil.
type Standing struct {
	Title        string            `json:"title"`        // empty: the folder's name stands for it
	Sheet        bool              `json:"sheet"`        // there is a take sheet
	Takes        int               `json:"takes"`        // rows of the sheet
	Used         int               `json:"used"`         // takes that a build uses
	Contributors int               `json:"contributors"` // of all rows; those without a name count as one
	Unlisted     []string          `json:"unlisted"`     // recordings in takes/ that the sheet does not list
	Untuned      []string          `json:"untuned"`      // used takes without a pitch to tune them by
	LeftOut      []LeftOutRow      `json:"left_out"`
	OpenTerms    []takes.OpenTerms `json:"open_terms"` // contributors of used takes whose terms are not decided
	Beds         int               `json:"beds"`       // files in beds/ that are named as beds are
	// beds that the next build makes or makes again; edited ones stay
	Older  []string `json:"older"`
	ByHand []string `json:"by_hand"` // beds that no build made, or that changed since
	// a build was broken off, or beds have changed since the last one
	BuildDue   bool                `json:"build_due"`
	Map        bool                `json:"map"`
	MapByHand  bool                `json:"map_by_hand"`
	LastExport *project.LastExport `json:"last_export"` // null where there was none
}

// Stands looks at the project in dir and writes nothing. A project without a sheet is one of finished beds.
func Stands(dir string) (*Standing, error) {
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	st := &Standing{Title: settings.Project.Title, Unlisted: []string{}, Untuned: []string{}, LeftOut: []LeftOutRow{},
		OpenTerms: []takes.OpenTerms{}, Older: []string{}, ByHand: []string{}}
	if err := st.lookAtBeds(dir); err != nil {
		return nil, err
	}
	if st.LastExport, err = project.ReadLastExport(dir); err != nil {
		return nil, err
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if errors.Is(err, fs.ErrNotExist) {
		sheet, err = takes.NewSheet(takes.OptionsOf(&settings)), nil
	} else {
		st.Sheet = true
	}
	if err != nil {
		return nil, err
	}
	if st.Unlisted, err = takes.Unlisted(dir, sheet); err != nil {
		return nil, err
	}
	st.lookAtRows(sheet, settings.Project.RequireConsent)
	if st.Used == 0 {
		return st, nil
	}
	return st, st.lookAtRecipes(dir)
}

// lookAtBeds finds the beds and the map that are there, and which of them a hand has made.
func (st *Standing) lookAtBeds(dir string) error {
	entries, err := os.ReadDir(filepath.Join(dir, project.BedsFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	var paths []string
	for _, entry := range entries {
		if _, err := mapping.ParseBedName(entry.Name()); err == nil && !entry.IsDir() &&
			!strings.HasPrefix(entry.Name(), ".") {
			paths = append(paths, project.BedsFolder+"/"+entry.Name())
		}
	}
	st.Beds = len(paths)
	byHand, err := NotAsBuilt(dir, paths)
	if err != nil {
		return err
	}
	changed, unfinished, err := ChangedSinceBuild(dir, paths)
	if err != nil {
		return err
	}
	st.BuildDue = unfinished || len(changed) > 0
	st.ByHand = append(st.ByHand, byHand...)
	path := filepath.Join(dir, mapping.FileName)
	if _, err := os.Stat(path); err == nil {
		st.Map = true
	}
	st.MapByHand, err = mapping.EditedByHand(path)
	return err
}

func (st *Standing) lookAtRows(sheet *takes.Sheet, requireConsent bool) {
	names := map[string]bool{}
	for i := range sheet.Rows {
		names[sheet.Rows[i].Contributor] = true
	}
	rows, leftOut := UsableRows(sheet, requireConsent)
	for _, row := range rows {
		if !(pitchOf(row) > 0) {
			st.Untuned = append(st.Untuned, row.Path)
		}
	}
	st.Takes, st.Used, st.Contributors = len(sheet.Rows), len(rows), len(names)
	st.LeftOut = append(st.LeftOut, leftOut...)
	st.OpenTerms = append(st.OpenTerms, takes.OpenTermsOf(rows)...)
}

// lookAtRecipes asks what a build would make now.
func (st *Standing) lookAtRecipes(dir string) error {
	b := &builder{dir: dir}
	if err := b.open(); err != nil {
		return err
	}
	for i := range b.recipes {
		r := &b.recipes[i]
		if len(r.Parts) == 0 {
			continue
		}
		if found, _ := b.record.find(r, b.bedPath(r.Slot)); found == bedMissing || found == bedBroken {
			st.Older = append(st.Older, project.BedsFolder+"/"+r.Slot.String())
		}
	}
	return nil
}
