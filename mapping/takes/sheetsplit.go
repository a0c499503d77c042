// Splitting a recording into several takes: rows for its stretches.

package takes

import (
	"fmt"
	"slices"

	"lapstrake/mapping/takes/measure"
)

// WholeRow is the row about the whole file at path, nil if there is none.
func (s *Sheet) WholeRow(path string) *Row {
	at := slices.IndexFunc(s.Rows, func(r Row) bool { return r.Path == path && r.IsWhole() })
	if at < 0 {
		return nil
	}
	return &s.Rows[at]
}

// Split puts a row for each stretch of a file behind the row about the whole of it, with all that the builder said of
// that row, and mutes the whole. The new rows are measured by the next intake. It is an error if the file has no such
// row, or if some of its stretches have rows already.
func (s *Sheet) Split(path string, stretches []Stretch) error {
	whole := s.WholeRow(path)
	if whole == nil {
		return fmt.Errorf("%s: no row of the whole file in the sheet; run `lapstrake intake`", path)
	}
	at := 0
	for i := range s.Rows {
		switch row := &s.Rows[i]; {
		case row == whole:
			at = i + 1
		case row.Path == path:
			return fmt.Errorf("%s: row %d is about a stretch of it already; delete the rows of its stretches first",
				path, row.Number)
		}
	}
	var rows []Row
	for _, stretch := range stretches {
		row := *whole
		row.Stretch, row.Use, row.above = stretch, true, nil
		row.Measures, row.Kind, row.Flags = measure.Absent(), "", nil
		row.SuggestedLayer, row.SuggestedStrand, row.Hash, row.Problem = "", "", "", ""
		row.measured, row.check = false, ""
		rows = append(rows, row)
	}
	whole.Use = false
	s.Rows = slices.Insert(s.Rows, at, rows...)
	for _, name := range []string{"use", "from_s", "to_s"} {
		s.restoreColumn(columnNamed(name))
	}
	s.number()
	return nil
}

// restoreColumn puts back a column of the builder's that he deleted and now needs, behind the one before it in a new
// sheet.
func (s *Sheet) restoreColumn(c *column) {
	at := 0
	for i := range columns {
		found := slices.IndexFunc(s.columns, func(sc sheetColumn) bool { return sc.known == &columns[i] })
		if &columns[i] == c {
			if found < 0 {
				s.columns = slices.Insert(s.columns, at, sheetColumn{c.name, c, -1})
			}
			return
		}
		if found >= 0 {
			at = found + 1
		}
	}
}
