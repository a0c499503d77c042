// Cells that are changed elsewhere than in a spreadsheet, such as on a page: one at a time, beside whatever a
// spreadsheet does to the sheet meanwhile.

package takes

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
)

// CellEdit changes one cell of the builder's.
type CellEdit struct {
	Take   string `json:"take"`   // as Row.Name has it
	Column string `json:"column"` // one of EditableColumns
	From   string `json:"from"`   // what the cell held, as Row.Cell gives it, when somebody decided to change it
	To     string `json:"to"`     // as a person would type it
}

// ConflictError says that a cell has been changed by somebody else since: nothing was changed then.
type ConflictError struct {
	CellEdit
	Found string // what it holds now; of a take that is not in the sheet any more, "" with Gone
	Gone  bool
}

// Error tells what was found and what is to be done.
func (e *ConflictError) Error() string {
	if e.Gone {
		return fmt.Sprintf("%s: is not in the sheet any more; look at the sheet again", e.Take)
	}
	return fmt.Sprintf("%s, column %s: found %q, expected %q: somebody else has changed it meanwhile; look at it "+
		"and decide again",
		e.Take, e.Column, e.Found, e.From)
}

// EditableColumns lists the columns of which cells may be edited, in the order of a new sheet: those of the builder
// but for the ones that say what a row is about.
func EditableColumns() (names []string) {
	for i := range columns {
		if c := &columns[i]; c.isEditable() {
			names = append(names, c.name)
		}
	}
	return names
}

func (c *column) isEditable() bool {
	return c.owner == theBuilder && c != takeColumn && c.name != "from_s" && c.name != "to_s"
}

// Cell is what a cell of a column says, written as in a new sheet; false for a column that there is none of.
func (s *Sheet) Cell(row *Row, name string) (text string, known bool) {
	c := columnNamed(name)
	if c == nil {
		return "", false
	}
	if c.owner == theMeasures && row.Kind == "" {
		return "", true
	}
	return c.text(row, s.options), true
}

// EditSheet changes cells of the sheet at path, all of them or none, and returns the edits that undo them. All else
// stays as it stands there now, in its dialect: the sheet is read anew, and read again where it changes meanwhile. A
// cell that does not hold From any more is a *ConflictError, one that cannot take To a *CellError; all problems are
// joined.
func EditSheet(path string, o SheetOptions, edits []CellEdit) (undo []CellEdit, err error) {
	const tries = 10
	for range tries {
		before, err := os.ReadFile(path)
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be read: %w", path, err)
		}
		s, err := parseSheet(before, path, o)
		if err != nil {
			return nil, err
		}
		if undo, err = s.edit(edits, path); err != nil {
			return nil, err
		}
		now, err := os.ReadFile(path)
		if err == nil && bytes.Equal(before, now) {
			return undo, s.Save(path)
		}
	}
	return nil, fmt.Errorf("%s: changes all the time: found no moment to change it in; end what writes to it", path)
}

// edit changes cells of the sheet in memory.
func (s *Sheet) edit(edits []CellEdit, path string) (undo []CellEdit, err error) {
	var problems []error
	for _, e := range edits {
		back, err := s.editCell(e, path)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		undo = append(undo, back)
	}
	slices.Reverse(undo)
	return undo, errors.Join(problems...)
}

func (s *Sheet) editCell(e CellEdit, path string) (undo CellEdit, err error) {
	c := columnNamed(e.Column)
	if c == nil || !c.isEditable() {
		return undo, fmt.Errorf("%s: column %q: expected one of %v", path, e.Column, EditableColumns())
	}
	at := slices.IndexFunc(s.Rows, func(row Row) bool { return row.Name() == e.Take })
	if at < 0 {
		return undo, &ConflictError{CellEdit: e, Gone: true}
	}
	row := &s.Rows[at]
	found := c.text(row, s.options)
	if found != e.From {
		return undo, &ConflictError{CellEdit: e, Found: found}
	}
	changed := *row
	if c == contributorColumn { // an empty cell means the folder, and is written so
		changed.Contributor = strings.TrimSpace(firstFolder(row.Path))
	}
	if err := c.read(&changed, e.To, s.options); err != nil {
		return undo, s.cellError(path, row.Number, c, e.To, err.Error(), "type something else")
	}
	s.restoreColumn(c)
	*row = changed
	return CellEdit{Take: e.Take, Column: e.Column, From: c.text(row, s.options), To: found}, nil
}
