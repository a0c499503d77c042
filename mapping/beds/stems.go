// The stems of finished beds: which takes they are made of and what each of them excites.

package beds

import (
	"errors"
	"io/fs"
	"path/filepath"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// Stems are those of one bed.
type Stems struct {
	Bed   string // as a path from the project folder
	Built bool   // by a build, and not edited since; nothing else is known of other beds
	Takes []TakeInBed
	// Rows are those of the takes, in their order; empty where the sheet has none.
	Rows []takes.Row
	// Courses are those of the takes, in their order; nil where the bed is of a version that did not keep them: the
	// next build makes such a bed anew.
	Courses []*hearing.Course
}

// ReadStems tells what is known of some beds, given as paths from the project folder dir.
func ReadStems(dir string, paths []string) ([]Stems, error) {
	record, err := readRecord(filepath.Join(dir, project.BedsFolder, project.BuiltFile))
	if err != nil {
		return nil, err
	}
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if errors.Is(err, fs.ErrNotExist) {
		sheet, err = takes.NewSheet(takes.OptionsOf(&settings)), nil
	}
	if err != nil {
		return nil, err
	}
	all := make([]Stems, len(paths))
	for i, bed := range paths {
		all[i].Bed = bed
		file := filepath.Join(dir, filepath.FromSlash(bed))
		entry := record.entry(bed)
		if entry == nil || !entry.is(file) {
			entry = record.sameContent(file)
		}
		if entry == nil {
			continue
		}
		all[i].Built, all[i].Takes = true, entry.Takes
		for _, take := range entry.Takes {
			var known takes.Row
			if row := rowOf(sheet, take); row != nil {
				known = *row
			}
			all[i].Rows = append(all[i].Rows, known)
		}
		courses, err := readCourses(filepath.Join(dir, project.BedsFolder, entry.Bed), entry.Hash)
		if err == nil && len(courses) == len(entry.Takes) {
			all[i].Courses = courses
		}
	}
	return all, nil
}
