// CSV cut into cells and put together again. A package that reads CSV drops empty rows and changes
// line ends inside cells; here every cell comes back as it was.

package takes

import (
	"fmt"
	"strings"
)

// splitRows cuts text into rows of cells. A cell may stand in double quotes, in which a quote is
// doubled and separators and line ends are text. LF, CRLF and CR end a row. There is always at
// least one row with one cell.
func splitRows(text string, separator byte, path string) ([][]string, error) {
	rows := [][]string{nil}
	for {
		row := len(rows) - 1
		cell, rest, err := nextCell(text, separator)
		if err != nil {
			return nil, fmt.Errorf("%s: row %d, column %s: %w", path, row+1, columnLetters(len(rows[row])), err)
		}
		rows[row] = append(rows[row], cell)
		switch {
		case rest == "":
			return rows, nil
		case rest[0] == separator:
			text = rest[1:]
		default:
			text = strings.TrimPrefix(rest, lineEndAt(rest))
			if text == "" {
				return rows, nil
			}
			rows = append(rows, nil)
		}
	}
}

// firstRow is the first row as far as it can be read.
func firstRow(text string, separator byte) []string {
	var cells []string
	for {
		cell, rest, err := nextCell(text, separator)
		if err != nil {
			return cells
		}
		if cells = append(cells, cell); rest == "" || rest[0] != separator {
			return cells
		}
		text = rest[1:]
	}
}

// nextCell takes one cell off text. What is left begins with the separator or a line end, or is
// empty.
func nextCell(text string, separator byte) (cell, rest string, err error) {
	ends := "\r\n" + string(rune(separator))
	if !strings.HasPrefix(text, `"`) {
		end := strings.IndexAny(text, ends)
		if end < 0 {
			end = len(text)
		}
		return text[:end], text[end:], nil
	}
	var inside strings.Builder
	for rest = text[1:]; ; {
		part, after, found := strings.Cut(rest, `"`)
		if !found {
			return "", "", fmt.Errorf("found a double quote that is never closed, expected one at the end of the " +
				"cell; add it, or double a quote that is part of the text")
		}
		inside.WriteString(part)
		if !strings.HasPrefix(after, `"`) {
			rest = after
			break
		}
		inside.WriteByte('"')
		rest = after[1:]
	}
	if rest != "" && !strings.ContainsRune(ends, rune(rest[0])) {
		return "", "", fmt.Errorf("found text behind a closing double quote, expected the end of the cell; double a " +
			"quote that is part of the text")
	}
	return inside.String(), rest, nil
}

func lineEndAt(text string) string {
	if strings.HasPrefix(text, "\r\n") {
		return "\r\n"
	}
	return text[:1]
}

// firstLineEnd is the line end of a text, LF if it has none. Line ends inside quotes are passed over.
func firstLineEnd(text string) string {
	quoted := false
	for i := range len(text) {
		switch {
		case text[i] == '"':
			quoted = !quoted
		case !quoted && (text[i] == '\r' || text[i] == '\n'):
			return lineEndAt(text[i:])
		}
	}
	return "\n"
}

func joinRows(out *strings.Builder, rows [][]string, separator byte, lineEnd string) {
	special := "\"\r\n" + string(rune(separator))
	for _, cells := range rows {
		for i, cell := range cells {
			if i > 0 {
				out.WriteByte(separator)
			}
			if strings.ContainsAny(cell, special) || strings.TrimSpace(cell) != cell {
				cell = `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
			}
			out.WriteString(cell)
		}
		out.WriteString(lineEnd)
	}
}
