// Tables of other columns than takes, in whatever dialect a spreadsheet left them, as the take sheet is.

package takes

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"strings"

	"lapstrake/mapping/whole"
)

// Table is a small sheet of a project. Rows and columns that a person added or moved, and the dialect, are kept.
type Table struct {
	path    string
	columns []string
	dialect dialect
	titles  []string
	rows    [][]string
}

// ReadTable reads the table at path, which has at least the given columns; where there is no file, it is empty. Every
// column that is missing or stands twice, and every row that is too long, is an error with its place.
func ReadTable(path string, columns []string) (*Table, error) {
	t := &Table{path: path, columns: columns, dialect: newDialect(), titles: columns}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return t, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", path, err)
	}
	isTitle := func(title string) bool { return slices.Contains(columns, trimmedTitle(title)) }
	rows, err := t.dialect.split(data, path, isTitle)
	if err != nil {
		return nil, err
	}
	t.titles, t.rows = rows[0], rows[1:]
	return t, t.check()
}

func trimmedTitle(title string) string { return strings.ToLower(strings.TrimSpace(title)) }

func (t *Table) check() error {
	var problems []error
	for _, column := range t.columns {
		first := t.at(column)
		if first < 0 {
			problems = append(problems, &CellError{t.path, 1, "", column, strings.Join(t.titles, " | "),
				"a header with a column named " + column, "put that column back"})
			continue
		}
		for i := first + 1; i < len(t.titles); i++ {
			if trimmedTitle(t.titles[i]) == column {
				problems = append(problems, &CellError{t.path, 1, columnLetters(i), column, t.titles[i],
					"each column once", "rename or delete one of them"})
			}
		}
	}
	for i, row := range t.rows {
		if len(row) > len(t.titles) && strings.Join(row[len(t.titles):], "") != "" {
			problems = append(problems, &CellError{t.path, i + 2, columnLetters(len(t.titles)), "", row[len(t.titles)],
				fmt.Sprintf("%d cells, as the header has", len(t.titles)),
				"put text that holds the separator into double quotes, or give the column a title"})
		}
	}
	return errors.Join(problems...)
}

func (t *Table) at(column string) int {
	return slices.IndexFunc(t.titles, func(title string) bool { return trimmedTitle(title) == column })
}

// Rows are the numbers of the rows that hold something in the table's own columns, as a spreadsheet counts: the header
// is row 1.
func (t *Table) Rows() (numbers []int) {
	for i := range t.rows {
		if slices.ContainsFunc(t.columns, func(column string) bool {
			return strings.TrimSpace(
				t.Cell(i+2, column)) != ""
		}) {
			numbers = append(numbers, i+2)
		}
	}
	return numbers
}

// Cell is the text in a column of a row, without what keeps it from being run as a formula.
func (t *Table) Cell(row int, column string) string {
	cells, at := t.rows[row-2], t.at(column)
	if at >= len(cells) {
		return ""
	}
	return Undefuse(cells[at])
}

// Wrong is the error of a cell that cannot be understood.
func (t *Table) Wrong(row int, column, expected, mend string) error {
	return &CellError{t.path, row, columnLetters(t.at(column)), column, t.Cell(row, column), expected, mend}
}

// Decimal writes a number with the decimal mark of the table.
func (t *Table) Decimal(x float64, places int) string {
	text := strconv.FormatFloat(x, 'f', places, 64)
	if t.dialect.separator == ';' { // which stands there because of decimal commas
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}

// ParseDecimal reads a number with a decimal point or comma.
func ParseDecimal(cell string) (float64, error) {
	return strconv.ParseFloat(strings.Replace(strings.TrimSpace(cell), ",", ".", 1), 64)
}

// Append puts a row at the end. No text of it runs as a formula.
func (t *Table) Append(cells map[string]string) {
	row := make([]string, len(t.titles))
	for column, text := range cells {
		row[t.at(column)] = Defuse(text)
	}
	t.rows = append(t.rows, row)
}

// Save writes the table to its path, whole or not at all.
func (t *Table) Save() error {
	return whole.Write(t.path, t.dialect.join(append([][]string{t.titles}, t.rows...)))
}
