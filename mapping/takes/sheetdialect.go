// The dialects of CSV that spreadsheets write: encoding, separator, decimal mark, line ends.

package takes

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// dialect is how a sheet was written, and will be again.
type dialect struct {
	encoding     encoding
	windows1252  bool // it was found as Windows-1252 and becomes UTF-8
	sepLine      bool // a first line such as sep=; which some spreadsheets want and hide
	separator    byte // comma, semicolon or tab
	decimalComma bool
	lineEnd      string
}

// encoding is UTF-8 or UTF-16 by its byte order mark.
type encoding int

const (
	utf8Plain encoding = iota
	utf8Mark
	utf16Little
	utf16Big
)

var marks = map[encoding]string{utf8Mark: "\xEF\xBB\xBF", utf16Little: "\xFF\xFE", utf16Big: "\xFE\xFF"}

// newDialect is that of a new sheet: RFC 4180 with the mark by which spreadsheets know UTF-8.
func newDialect() dialect {
	return dialect{encoding: utf8Mark, separator: ',', lineEnd: "\n"}
}

// split finds out the dialect, but for the decimal mark, and cuts data into rows of cells. There is
// at least one row. Empty rows at the end are left away. isTitle knows the titles of columns.
func (d *dialect) split(data []byte, path string, isTitle func(string) bool) ([][]string, error) {
	text, err := d.decode(data, path)
	if err != nil {
		return nil, err
	}
	d.lineEnd = firstLineEnd(text)
	if first, rest, _ := strings.Cut(text, d.lineEnd); first == "sep=," || first == "sep=;" || first == "sep=\t" {
		d.sepLine, d.separator, text = true, first[len("sep=")], rest
	} else {
		d.separator = likeliestSeparator(text, isTitle)
	}
	rows, err := splitRows(text, d.separator, path)
	if err != nil {
		return nil, err
	}
	for len(rows) > 1 && strings.Join(rows[len(rows)-1], "") == "" {
		rows = rows[:len(rows)-1]
	}
	return rows, nil
}

// join writes rows in the dialect.
func (d *dialect) join(rows [][]string) []byte {
	var text strings.Builder
	if d.sepLine {
		text.WriteString("sep=" + string(d.separator) + d.lineEnd)
	}
	joinRows(&text, rows, d.separator, d.lineEnd)
	return d.encode(text.String())
}

func (d *dialect) decode(data []byte, path string) (string, error) {
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return "", fmt.Errorf("%s: byte 0: found a spreadsheet's own format, expected CSV text; save the sheet as "+
			"CSV in UTF-8", path)
	}
	d.encoding = utf8Plain
	for encoding, mark := range marks {
		if bytes.HasPrefix(data, []byte(mark)) {
			d.encoding, data = encoding, data[len(mark):]
			break
		}
	}
	if d.encoding == utf16Little || d.encoding == utf16Big {
		return d.decodeUTF16(data, path)
	}
	bad, several := -1, false // the first byte that is no UTF-8 text; characters of several bytes
	for at := 0; at < len(data); {
		r, size := utf8.DecodeRune(data[at:])
		if bad < 0 && (r == utf8.RuneError && size == 1 || r == 0) {
			bad = at
		}
		several = several || size > 1
		at += size
	}
	switch {
	case bad < 0:
		return string(data), nil
	case d.encoding == utf8Mark || several: // UTF-8 that was damaged
		return "", notText(data, bad, path)
	}
	return d.decodeWindows1252(data, path)
}

func notText(data []byte, at int, path string) error {
	return fmt.Errorf("%s: line %d: found the byte 0x%02X, which is no text in UTF-8 or Windows-1252; save the sheet "+
		"as CSV in UTF-8",
		path, 1+bytes.Count(data[:at], []byte("\n")), data[at])
}

// decodeWindows1252 reads what spreadsheets of western Europe write by default. The sheet becomes UTF-8, with the mark
// by which those spreadsheets know it.
func (d *dialect) decodeWindows1252(data []byte, path string) (string, error) {
	var text strings.Builder
	for at, b := range data {
		// The code page leaves five bytes without a character; a zero is no text in any.
		r := charmap.Windows1252.DecodeByte(b)
		if r == utf8.RuneError || b == 0 || r >= 0x80 && r < 0xA0 {
			return "", notText(data, at, path)
		}
		text.WriteRune(r)
	}
	d.encoding, d.windows1252 = utf8Mark, true
	return text.String(), nil
}

func (d *dialect) decodeUTF16(data []byte, path string) (string, error) {
	units := make([]uint16, len(data)/2)
	for i := range units {
		if units[i] = uint16(data[2*i]) | uint16(data[2*i+1])<<8; d.encoding == utf16Big {
			units[i] = units[i]<<8 | units[i]>>8
		}
	}
	text := string(utf16.Decode(units))
	if len(data)%2 != 0 || string(d.encode(text)[2:]) != string(data) {
		return "", fmt.Errorf("%s: found UTF-16 that is damaged; save the sheet as CSV in UTF-8", path)
	}
	return text, nil
}

func (d *dialect) encode(text string) []byte {
	out := []byte(marks[d.encoding])
	if d.encoding == utf8Plain || d.encoding == utf8Mark {
		return append(out, text...)
	}
	for _, unit := range utf16.Encode([]rune(text)) {
		low, high := byte(unit), byte(unit>>8)
		if d.encoding == utf16Big {
			low, high = high, low
		}
		out = append(out, low, high)
	}
	return out
}

// likeliestSeparator is the one that finds the most known columns in the header.
func likeliestSeparator(text string, isTitle func(string) bool) byte {
	best, most := byte(','), -1
	for _, separator := range []byte{',', ';', '\t'} {
		known := 0
		for _, title := range firstRow(text, separator) {
			if isTitle(title) {
				known++
			}
		}
		if known > most {
			best, most = separator, known
		}
	}
	return best
}

// findDecimalComma looks at the numbers of the sheet. Without any, a sheet with semicolons is taken
// to be from a country that writes decimal commas, since that is why they are there.
func (s *Sheet) findDecimalComma() bool {
	commas, points := 0, 0
	for _, c := range s.columns {
		if c.known == nil || !c.known.number {
			continue
		}
		for i := range s.Rows {
			cell := s.Rows[i].cells[c.found]
			commas += strings.Count(cell, ",")
			points += strings.Count(cell, ".")
		}
	}
	return commas > points || commas == points && s.dialect.separator == ';'
}
