// Rows that leave the sheet, and come back.

package takes

import (
	"slices"
	"strings"
)

// TakeOut takes the rows of some takes, given by their paths, out of the sheet. It returns them as a sheet of the same
// columns and dialect, so that no cell is lost. Rows about no take that stood above them stay.
func (s *Sheet) TakeOut(paths []string) *Sheet {
	return s.takeOut(func(r Row) bool { return slices.Contains(paths, r.Path) })
}

func (s *Sheet) takeOut(leaves func(Row) bool) *Sheet {
	out := &Sheet{options: s.options, dialect: s.dialect, columns: slices.Clone(s.columns),
		ofContributors: s.ofContributors}
	var kept []Row
	var above [][]string
	for _, row := range s.Rows {
		row.above = append(above, row.above...)
		above = nil
		if leaves(row) {
			above, row.above = row.above, nil
			out.Rows = append(out.Rows, row)
			continue
		}
		kept = append(kept, row)
	}
	s.Rows, s.below = kept, append(above, s.below...)
	s.number()
	out.number()
	return out
}

// TakeIn puts the rows of another sheet at the end of this one. A row of what is here already stays away. Cells of
// columns that this sheet does not have any more are lost, but for those that every sheet has.
func (s *Sheet) TakeIn(other *Sheet) {
	here := s.Rows // rows of one file may come in together
	for _, row := range other.Rows {
		if slices.ContainsFunc(here, func(r Row) bool {
			return r.Path == row.Path && (!s.ofContributors ||
				sameContributor(r.Contributor) == sameContributor(row.Contributor))
		}) {
			continue
		}
		row.cells, row.above = s.cellsFrom(other, row.cells), nil
		s.Rows = append(s.Rows, row)
	}
	s.number()
}

// cellsFrom gives the cells of another sheet's row the places that they have here.
func (s *Sheet) cellsFrom(other *Sheet, cells []string) []string {
	here := make([]string, len(s.columns))
	for _, c := range s.columns {
		if c.found < 0 {
			continue
		}
		at := slices.IndexFunc(other.columns, func(o sheetColumn) bool {
			return o.known == c.known && (c.known != nil || strings.EqualFold(o.title, c.title))
		})
		if at < 0 {
			continue
		}
		if from := other.columns[at].found; from >= 0 && from < len(cells) {
			here[c.found] = cells[from]
		}
	}
	return here
}
