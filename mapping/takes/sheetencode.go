// Writing the sheet: what was found stays, what is measured is put beside it.

package takes

import (
	"slices"
	"strings"
)

func (s *Sheet) encode() []byte {
	all := s.completeColumns()
	titles := make([]string, len(all))
	for i, c := range all {
		titles[i] = c.title
	}
	rows := [][]string{titles}
	for i := range s.Rows {
		rows = append(rows, asFound(s.Rows[i].above, all)...)
		cells := make([]string, len(all))
		for j, c := range all {
			cells[j] = s.cell(&s.Rows[i], c)
		}
		rows = append(rows, cells)
	}
	return s.dialect.join(append(rows, asFound(s.below, all)...))
}

// asFound gives rows that are about no take the columns that the sheet has now.
func asFound(rows [][]string, all []sheetColumn) [][]string {
	var out [][]string
	for _, cells := range rows {
		wide := make([]string, len(all))
		for j, c := range all {
			if c.found >= 0 && c.found < len(cells) {
				wide[j] = cells[c.found]
			}
		}
		out = append(out, wide)
	}
	return out
}

// completeColumns puts measured columns that are not in the file beside their neighbours of a new sheet,
// or at the end, but never among the builder's. Columns of theirs that they deleted stay away.
func (s *Sheet) completeColumns() []sheetColumn {
	if s.ofContributors {
		return s.columns
	}
	all := withTerms(slices.Clone(s.columns))
	at := slices.IndexFunc(all, func(sc sheetColumn) bool { return sc.known != nil && sc.known.owner != theBuilder })
	if at < 0 {
		at = len(all)
	}
	for i := range columns {
		c := &columns[i]
		if c.owner == theBuilder {
			continue
		}
		where := slices.IndexFunc(all, func(sc sheetColumn) bool { return sc.known == c })
		if where < 0 {
			where = at
			all = slices.Insert(all, at, sheetColumn{c.name, c, -1})
		}
		at = where + 1
	}
	return all
}

// cell is the text of a cell: the very text that was found as long as it means the same. Numbers get
// the sheet's decimal mark.
func (s *Sheet) cell(row *Row, c sheetColumn) string {
	text := s.cellText(row, c)
	switch {
	case c.known == nil || !c.known.number:
	case s.dialect.decimalComma:
		text = strings.Replace(text, ".", ",", 1)
	default:
		text = strings.Replace(text, ",", ".", 1)
	}
	return text
}

func (s *Sheet) cellText(row *Row, c sheetColumn) string {
	found, isFound := "", row.cells != nil && c.found >= 0
	if isFound {
		found = row.cells[c.found]
	}
	if c.known == nil {
		return found
	}
	text := ""
	if c.known.owner != theMeasures || row.Kind != "" {
		text = c.known.text(row, s.options)
	}
	same := NewRow(row.Path)
	if isFound && c.known.read(&same, found, s.options) == nil && c.known.text(&same, s.options) == text {
		return found
	}
	return text
}
