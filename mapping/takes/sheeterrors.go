// What can be wrong with a cell of the sheet.

package takes

import "fmt"

// CellError is a cell that cannot be understood. The sheet is left untouched.
type CellError struct {
	Path     string
	Row      int    // as the spreadsheet counts: the header is row 1
	Letters  string // the column as the spreadsheet names it, "" if it is not there
	Column   string // the column by its header, "" if it has none
	Found    string
	Expected string
	Mend     string
}

// Error gives one line: place, what was found, what was expected, the mend.
func (e *CellError) Error() string {
	place := e.Column
	switch {
	case e.Column == "":
		place = e.Letters
	case e.Letters != "":
		place += " (" + e.Letters + ")"
	}
	return fmt.Sprintf("%s: row %d, column %s: found %q, expected %s; %s", e.Path, e.Row, place, e.Found, e.Expected,
		e.Mend)
}

// columnLetters is the spreadsheet's name of a column: A to Z, AA and so on.
func columnLetters(index int) string {
	letters := ""
	for index++; index > 0; index = (index - 1) / 26 {
		letters = string(rune('A'+(index-1)%26)) + letters
	}
	return letters
}
