// Decoding a document so that every problem in it is found in one go.

package placed

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Words are what a file's owner says of fields that do not fit.
type Words struct {
	Unknown  func(field string) string // what to do about a field that does not exist
	Expected func(field string) string // which values a field may have
}

// Decode fills in what into points to and returns the problems: fields that do not exist, and values of the wrong
// type. What could not be read keeps the value that it had.
func (d *Document) Decode(into any, words Words) []Problem {
	var problems []Problem
	rest := bytes.Clone(d.data)
	for range len(d.expressions) + 1 { // the decoder stops at the first value of the wrong type: blank it and go on
		err := toml.NewDecoder(bytes.NewReader(rest)).DisallowUnknownFields().Decode(into)
		var unknown *toml.StrictMissingError
		var bad *toml.DecodeError
		switch {
		case err == nil:
			return problems
		case errors.As(err, &unknown):
			for i := range unknown.Errors {
				line, _ := unknown.Errors[i].Position()
				field := d.fieldAt(line, strings.Join(unknown.Errors[i].Key(), "."))
				problems = append(problems, Problem{field, words.Unknown(field)})
			}
			return problems
		case errors.As(err, &bad):
			line, _ := bad.Position()
			at := d.expressionAt(line)
			if at < 0 {
				return append(problems, Problem{strings.Join(bad.Key(), "."), bad.Error()})
			}
			e := d.expressions[at]
			problems = append(problems, Problem{e.field,
				fmt.Sprintf("found %s: expected %s", d.value(e), words.Expected(e.field))})
			blank(rest[e.begin:e.end])
		default:
			return append(problems, Problem{"", err.Error()})
		}
	}
	return problems
}

func (d *Document) expressionAt(line int) int {
	at := -1
	for i, e := range d.expressions {
		if e.line <= line {
			at = i
		}
	}
	return at
}

// fieldAt is the field on a line as the document names it; given names a field inside an inline table.
func (d *Document) fieldAt(line int, given string) string {
	if at := d.expressionAt(line); at >= 0 && d.expressions[at].line == line {
		if e := d.expressions[at].field; strings.HasSuffix(e, given[strings.LastIndexByte(given, '.')+1:]) {
			return e
		}
	}
	return given
}

// value is what stands behind the equals sign, on its first line.
func (d *Document) value(e expression) string {
	text, _, _ := strings.Cut(string(d.data[e.begin:e.end]), "\n")
	_, value, _ := strings.Cut(text, "=")
	if value = strings.TrimSpace(value); !strings.ContainsAny(value, `"'`) {
		value, _, _ = strings.Cut(value, " #")
	}
	return value
}

func blank(text []byte) {
	for i, c := range text {
		if c != '\n' {
			text[i] = ' '
		}
	}
}

// Unread adds to the problems of reading a file those of its values, without what could not be read in the first
// place.
func Unread(reading, values []Problem) []Problem {
	told := map[string]bool{}
	for _, p := range reading {
		told[p.Field] = true
	}
	for _, p := range values {
		if !told[p.Field] {
			reading = append(reading, p)
		}
	}
	return reading
}
