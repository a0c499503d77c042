// Intake: from the recordings in takes/ to an up-to-date take sheet.

package takes

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"

	"lapstrake/mapping/project"
)

// IntakeOptions say how the sheet is read and who watches.
type IntakeOptions struct {
	SheetOptions
	Semicolons bool               // write the sheet with semicolons and decimal commas
	Progress   func(part float64) // called with 0 to 1, never from two goroutines at once; may be nil
}

// Report is what an intake found.
type Report struct {
	Sheet     *Sheet
	SheetPath string
	New       []string // paths of takes that were not in the sheet
	Changed   []string // whose content is another than when they were last measured
	Moved     []Move
	Measured  int // how many takes were decoded and measured; the others were known by their hash
	LeftOut   []LeftOut
}

// Move is a take that was found under another name.
type Move struct {
	From string `json:"from"`
	To   string `json:"to"`
}

// Intake reads the takes of the project in dir, measures those that are new or changed, and brings
// takes.csv up to date: measured columns alone, new takes at the end. Takes that cannot be read get
// a row that says why. Nothing but the sheet is written; a sheet with broken cells is an error
// (*CellError, joined) and stays as it is. When ctx ends, Intake saves the rows of the takes that were measured,
// leaves all others as they are, and returns ctx.Err(); the report is nil when nothing was measured yet.
func Intake(ctx context.Context, dir string, o IntakeOptions) (*Report, error) {
	report := &Report{SheetPath: filepath.Join(dir, project.SheetFile)}
	sheet, err := readOrNewSheet(report.SheetPath, o.SheetOptions)
	if err != nil {
		return nil, err
	}
	var files []takeFile
	if files, report.LeftOut, err = findTakes(dir); err != nil {
		return nil, err
	}
	m := newMeasuring(filepath.Join(dir, project.TakesFolder), files, sheet, o.Progress)
	results, ended := m.run(ctx)
	if ended != nil && m.measured == 0 {
		return nil, ended
	}
	// Measuring takes minutes: what the builder saved meanwhile counts.
	if report.Sheet, err = readOrNewSheet(report.SheetPath, o.SheetOptions); err != nil {
		return nil, err
	}
	report.Measured = m.measured
	report.update(files, results, m.open)
	if o.Semicolons {
		report.Sheet.dialect.separator, report.Sheet.dialect.decimalComma = ';', true
	}
	if err := report.Sheet.Save(report.SheetPath); err != nil {
		return nil, err
	}
	if err := report.Sheet.UpdateContributors(report.SheetPath); err != nil {
		return nil, err
	}
	return report, ended
}

func readOrNewSheet(path string, o SheetOptions) (*Sheet, error) {
	sheet, err := ReadSheet(path, o)
	if errors.Is(err, fs.ErrNotExist) {
		return NewSheet(o), nil
	}
	return sheet, err
}

// measuredRows are the rows whose measures hold, by what they are about.
func (s *Sheet) measuredRows() map[content]*Row {
	known := map[content]*Row{}
	for i := range s.Rows {
		if row := &s.Rows[i]; row.measured && row.Hash != "" {
			known[row.content()] = row
		}
	}
	return known
}

// update brings the sheet up to date with the files, and the report with what that changed. What is in open was not
// measured: its rows, if it has any, stay as they are.
func (rep *Report) update(files []takeFile, results measuredTakes, open map[content]bool) {
	s := rep.Sheet
	rowOf, rows := s.match(files), s.rowsByPath()
	present := make([]bool, len(s.Rows))
	for i, at := range rowOf {
		file := files[i]
		about := []int{len(s.Rows)}
		if at < 0 && open[content{hash: file.hash}] {
			continue
		}
		if at < 0 {
			s.Rows = append(s.Rows, NewRow(file.path))
			rep.New = append(rep.New, file.path)
		} else {
			rep.note(&s.Rows[at], file)
			about = rows[s.Rows[at].Path]
		}
		for _, at := range about {
			if at < len(present) {
				present[at] = true
			}
			row := &s.Rows[at]
			row.Path = file.path
			if !open[content{file.hash, row.Stretch}] {
				row.take(file, results.of(file, row.Stretch))
			}
		}
	}
	for i := range present {
		s.Rows[i].Missing = !present[i]
	}
	s.suggest()
	s.setFlags()
	s.number()
}

// note reports what has become of a row whose take is now in file.
func (rep *Report) note(row *Row, file takeFile) {
	if row.Path != file.path {
		rep.Moved = append(rep.Moved, Move{row.Path, file.path})
	} else if row.Hash != "" && row.Hash != file.hash {
		rep.Changed = append(rep.Changed, row.Path)
	}
}

// take fills in what was measured.
func (r *Row) take(file takeFile, m *measuredTake) {
	r.Hash, r.Measures, r.Problem = file.hash, m.Measures, m.problem
	r.SuggestedLayer, r.SuggestedStrand, r.Flags = m.layer, m.strand, m.flags
	r.measured = m.problem == ""
}
