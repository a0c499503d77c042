// A column of the take sheet: how a cell is written and how it is read.

package takes

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// column is one column that the sheet knows.
type column struct {
	name   string // with the unit
	owner  owner
	number bool // written with the sheet's decimal mark
	text   func(*Row, SheetOptions) string
	read   func(*Row, string, SheetOptions) error // the error says what was expected
}

// owner is who fills in a column. A broken cell of the builder's is an error, any other is restored.
type owner int

const (
	theMeasures owner = iota // empty for a take that was not measured
	theIntake
	theBuilder
)

// columnNamed finds a column by its header, however a spreadsheet or the builder wrote it.
func columnNamed(title string) *column {
	for i := range columns {
		if strings.EqualFold(strings.TrimSpace(title), columns[i].name) {
			return &columns[i]
		}
	}
	return nil
}

// isColumn says whether a title is that of a column of the take sheet.
func isColumn(title string) bool { return columnNamed(title) != nil }

// ofBuilder makes a column the builder's.
func ofBuilder(c column) column {
	c.owner = theBuilder
	return c
}

// ofIntake makes a column one that every row has, measured or not.
func ofIntake(c column) column {
	c.owner = theIntake
	return c
}

func textColumn(name string, field func(*Row) *string) column {
	return column{name: name,
		text: func(r *Row, _ SheetOptions) string { return Defuse(*field(r)) },
		read: func(r *Row, cell string, _ SheetOptions) error {
			*field(r) = Undefuse(strings.TrimSpace(cell))
			return nil
		}}
}

// decimalColumn holds a number with so many decimals; an empty cell is NaN.
func decimalColumn(name string, decimals int, field func(*Row) *float64) column {
	return column{name: name, number: true,
		text: func(r *Row, _ SheetOptions) string { return decimalText(*field(r), decimals) },
		read: func(r *Row, cell string, _ SheetOptions) (err error) {
			*field(r), err = parseDecimal(cell)
			return err
		}}
}

// wholeColumn holds a whole number, of which 0 means none and is an empty cell.
func wholeColumn(name string, field func(*Row) *int) column {
	c := countColumn(name, field)
	c.text = func(r *Row, _ SheetOptions) string {
		if *field(r) == 0 {
			return ""
		}
		return strconv.Itoa(*field(r))
	}
	return c
}

// countColumn holds a whole number, 0 included.
func countColumn(name string, field func(*Row) *int) column {
	return column{name: name,
		text: func(r *Row, _ SheetOptions) string { return strconv.Itoa(*field(r)) },
		read: func(r *Row, cell string, _ SheetOptions) (err error) {
			*field(r), err = parseWhole(cell)
			return err
		}}
}

func yesNoColumn(name string, ifEmpty bool, field func(*Row) *bool) column {
	return column{name: name,
		text: func(r *Row, _ SheetOptions) string {
			if *field(r) {
				return "yes"
			}
			return "no"
		},
		read: func(r *Row, cell string, _ SheetOptions) (err error) {
			*field(r), err = parseYesNo(cell, ifEmpty)
			return err
		}}
}

// derivedColumn follows from the others: it is written and never read.
func derivedColumn(name string, number bool, text func(*Row, SheetOptions) string) column {
	return column{name: name, number: number, text: text,
		read: func(*Row, string, SheetOptions) error { return nil }}
}

// The infinities, in words that no spreadsheet takes for a formula: the minus is U+2212.
const (
	infinite      = "inf"
	minusInfinite = "\u2212inf"
)

func decimalText(value float64, decimals int) string {
	switch {
	case math.IsNaN(value):
		return ""
	case math.IsInf(value, 1):
		return infinite
	case math.IsInf(value, -1):
		return minusInfinite
	}
	text := strconv.FormatFloat(value, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-") // no minus zero
	}
	return text
}

var errNumber = errors.New("a number such as -3.5, or nothing")

// parseDecimal reads a number with either decimal mark and either minus.
func parseDecimal(cell string) (float64, error) {
	switch cell = strings.TrimSpace(cell); cell {
	case "":
		return math.NaN(), nil
	case infinite:
		return math.Inf(1), nil
	case minusInfinite:
		return math.Inf(-1), nil
	}
	cell = strings.Replace(cell, "\u2212", "-", 1)
	if !strings.Contains(cell, ".") {
		cell = strings.Replace(cell, ",", ".", 1)
	}
	value, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsNaN(value) || math.IsInf(value, 0) || strings.ContainsAny(cell, "xXpP_") {
		return 0, errNumber
	}
	return value, nil
}

// parseWhole also takes what a spreadsheet makes of a whole number, such as 60.0.
func parseWhole(cell string) (int, error) {
	value, err := parseDecimal(cell)
	if math.IsNaN(value) {
		return 0, nil
	}
	if err != nil || value != math.Trunc(value) || math.Abs(value) > 1<<31 {
		return 0, errors.New("a whole number, or nothing")
	}
	return int(value), nil
}

func parseYesNo(cell string, ifEmpty bool) (bool, error) {
	switch strings.ToLower(strings.TrimSpace(cell)) {
	case "":
		return ifEmpty, nil
	case "yes", "y", "true", "1":
		return true, nil
	case "no", "n", "false", "0":
		return false, nil
	}
	meaning := "no"
	if ifEmpty {
		meaning = "yes"
	}
	return false, fmt.Errorf("yes or no; an empty cell means %s", meaning)
}

// Defuse keeps a spreadsheet from running text that came with a file or folder name as a formula:
// text that begins with = + - @, a tab or a line end gets an apostrophe in front. Undefuse takes
// it away again. Text that begins with apostrophes before such a character gets one more, so that
// every text comes back.
func Defuse(text string) string {
	if startsFormula(strings.TrimLeft(text, "'")) {
		return "'" + text
	}
	return text
}

// Undefuse gives the text that Defuse made safe.
func Undefuse(cell string) string {
	if bare := strings.TrimLeft(cell, "'"); bare != cell && startsFormula(bare) {
		return cell[1:]
	}
	return cell
}

func startsFormula(text string) bool {
	return text != "" && strings.ContainsRune("=+-@\t\r\n", rune(text[0]))
}
