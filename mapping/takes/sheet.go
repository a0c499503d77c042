// The take sheet: takes.csv, read from whatever a spreadsheet made of it and written back the same way.

package takes

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping/whole"
)

// Sheet is the take sheet of a project. Rows stand in the builder's order. Columns that the
// builder added or moved, the separator, the decimal mark and the encoding are kept.
type Sheet struct {
	Rows []Row

	options SheetOptions
	dialect dialect
	columns []sheetColumn
	below   [][]string // rows at the end that are about no take
	isOld   bool       // written when kind was a measured column
	// ofContributors says that it is contributors.csv, whose rows are about a contributor and not about a take.
	ofContributors bool
}

// sheetColumn is a column as it stands in the sheet.
type sheetColumn struct {
	title string  // the header as found
	known *column // nil: the builder's own addition
	found int     // where its cells are in Row.cells; -1: not in the file
}

// NewSheet is an empty sheet with all columns, as comma-separated UTF-8.
func NewSheet(o SheetOptions) *Sheet {
	s := &Sheet{options: o.settled(), dialect: newDialect()}
	for i := range columns {
		s.columns = append(s.columns, sheetColumn{columns[i].name, &columns[i], -1})
	}
	return s
}

// ReadSheet reads and checks the sheet at path, and contributors.csv beside it where there is one: what is said there
// of a contributor holds for all rows of theirs. Every broken cell is a *CellError, all of them joined. A file that is
// not there gives fs.ErrNotExist.
func ReadSheet(path string, o SheetOptions) (*Sheet, error) {
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: no take sheet: make it with `lapstrake intake`: %w", path, fs.ErrNotExist)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", path, err)
	}
	s, err := parseSheet(data, path, o)
	contributors, also := readContributors(filepath.Dir(path), o)
	if err = errors.Join(err, also); err != nil {
		return nil, err
	}
	s.takeContributors(contributors)
	return s, nil
}

// Windows1252 says whether the sheet was found in that code page and will be saved as UTF-8.
func (s *Sheet) Windows1252() bool { return s.dialect.windows1252 }

// parseSheet reads a sheet from data; path stands for the file in errors.
func parseSheet(data []byte, path string, o SheetOptions) (*Sheet, error) {
	return (&Sheet{options: o.settled()}).parse(data, path)
}

func (s *Sheet) parse(data []byte, path string) (*Sheet, error) {
	rows, err := s.dialect.split(data, path, isColumn)
	if err != nil {
		return nil, err
	}
	if err := s.readHeader(rows[0], path); err != nil {
		return nil, err
	}
	problems := s.readRows(rows[1:], path)
	if len(problems) > 0 {
		return nil, errors.Join(problems...)
	}
	s.dialect.decimalComma = s.findDecimalComma()
	if s.isOld {
		s.upgrade()
	}
	return s, nil
}

func (s *Sheet) readHeader(titles []string, path string) error {
	var problems []error
	seen := map[*column]int{}
	s.isOld = !s.ofContributors && hasMeasuredKind(titles)
	for i, title := range titles {
		known := s.columnNamed(title)
		if s.isOld && known == columnNamed(kindColumnName) {
			title, known = measuredKindName, columnNamed(measuredKindName)
		}
		if first, twice := seen[known]; known != nil && twice {
			problems = append(problems, &CellError{path, 1, columnLetters(i), known.name, title,
				"each column once, and " + known.name + " stands in column " + columnLetters(first) + " already",
				"rename or " + "delete one of them"})
		}
		seen[known] = i
		s.columns = append(s.columns, sheetColumn{title, known, i})
	}
	if about := s.about(); !slices.ContainsFunc(s.columns, func(c sheetColumn) bool { return c.known == about }) {
		problems = append(problems, &CellError{path, 1, "", about.name, strings.Join(titles, " | "),
			"a header with a column named " + about.name, "put that column back: it says what each row is about"})
	}
	return errors.Join(problems...)
}

func (s *Sheet) readRows(rows [][]string, path string) []error {
	var problems []error
	first := map[rowSubject]int{}
	for i, cells := range rows {
		if s.noTake(cells) {
			s.below = append(s.below, cells)
			continue
		}
		row, broken := s.readRow(cells, i+2, path)
		row.above, s.below = s.below, nil
		if err := s.stretchError(&row, path); err != nil {
			broken = append(broken, err)
		}
		subject := s.subject(&row)
		if other, twice := first[subject]; twice && subject.name != "" {
			mend := "delete one of the two rows, or give them different stretches in from_s and to_s"
			if s.ofContributors {
				mend = "delete one of the two rows"
			}
			broken = append(broken, s.cellError(path, row.Number, s.about(), subject.name,
				fmt.Sprintf("each %s once, and row %d is about it already", s.about().name, other), mend))
		}
		first[subject] = row.Number
		problems = append(problems, broken...)
		s.Rows = append(s.Rows, row)
	}
	return problems
}

// rowSubject is what a row is about: a stretch of a file, or a contributor.
type rowSubject struct {
	name string
	Stretch
}

func (s *Sheet) subject(row *Row) rowSubject {
	if s.ofContributors {
		return rowSubject{name: sameContributor(row.Contributor)}
	}
	return rowSubject{row.Path, row.Stretch}
}

// about is the column that says what a row is about.
func (s *Sheet) about() *column {
	if s.ofContributors {
		return contributorColumn
	}
	return takeColumn
}

// noTake says whether a row is empty but for columns of the builder's own: a gap, a heading, a sum.
func (s *Sheet) noTake(cells []string) bool {
	for i, cell := range cells {
		if (i >= len(s.columns) || s.columns[i].known != nil) && strings.TrimSpace(cell) != "" {
			return false
		}
	}
	return true
}

// readRow reads the path first, since defaults depend on it.
func (s *Sheet) readRow(cells []string, number int, path string) (Row, []error) {
	if len(cells) > len(s.columns) && strings.Join(cells[len(s.columns):], "") != "" {
		return Row{Number: number}, []error{&CellError{path, number, columnLetters(len(s.columns)), "",
			cells[len(s.columns)], fmt.Sprintf("%d cells, as the header has",
				len(s.columns)), "put text that holds the separator into double quotes, or give the column a title"}}
	}
	for len(cells) < len(s.columns) {
		cells = append(cells, "")
	}
	var broken []error
	row := NewRow("")
	row.cells, row.Number, row.measured = cells, number, true
	read := func(c sheetColumn) {
		err := c.known.read(&row, cells[c.found], s.options)
		switch {
		case err != nil && c.known.owner == theBuilder:
			broken = append(broken, s.cellError(path, number, c.known, cells[c.found], err.Error(),
				"correct the cell"))
		case err != nil:
			row.measured = false // restored by the next intake
		}
	}
	for _, c := range s.columns {
		if c.known == takeColumn && !s.ofContributors {
			read(c)
			row.Contributor = firstFolder(row.Path)
		}
	}
	for _, c := range s.columns {
		if c.known != nil && c.known != takeColumn {
			read(c)
		}
	}
	row.measured = row.measured && row.check != "" && row.check == row.checkDigits()
	row.Missing = row.Has(Missing)
	return row, broken
}

func (s *Sheet) cellError(path string, number int, c *column, found, expected, mend string) error {
	at := slices.IndexFunc(s.columns, func(sc sheetColumn) bool { return sc.known == c })
	return &CellError{path, number, columnLetters(at), c.name, found, expected, mend}
}

// number tells each row where it will stand.
func (s *Sheet) number() {
	number := 1
	for i := range s.Rows {
		number += len(s.Rows[i].above) + 1
		s.Rows[i].Number = number
	}
}

// Save writes the sheet to path, whole or not at all, the way it was found. A file that would not
// change is left alone.
func (s *Sheet) Save(path string) error {
	data := s.encode()
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, data) {
		return nil
	}
	return whole.Write(path, data)
}
