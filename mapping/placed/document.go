// Package placed reads TOML files that people edit: it finds every problem of a file in one go, and gives each the
// line it is on.
package placed

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Problem is one thing wrong in a file: the field it is in, such as zones[3].start, and what to do.
type Problem struct{ Field, Text string }

func (p Problem) Error() string { return p.Field + ": " + p.Text }

// Document is a TOML text of which every field has a place.
type Document struct {
	name        string
	data        []byte
	expressions []expression
	lines       map[string]int // by field
}

// expression is one key with its value, or the head of a table.
type expression struct {
	field      string
	line       int // from 1
	begin, end int // bytes of its lines and of what follows up to the next expression
}

// Read finds the fields of data. name stands for the file in errors. What is no TOML is an error with its line and
// column.
func Read(data []byte, name string) (*Document, error) {
	// Windows' editor
	d := &Document{name: name, data: bytes.TrimPrefix(data, []byte("\ufeff")), lines: map[string]int{}}
	var anything map[string]any
	if err := toml.Unmarshal(d.data, &anything); err != nil {
		return nil, d.syntax(err)
	}
	if err := d.findExpressions(); err != nil {
		return nil, d.syntax(err)
	}
	return d, nil
}

func (d *Document) syntax(err error) error {
	var bad *toml.DecodeError
	if !errors.As(err, &bad) {
		return fmt.Errorf("%s: %w", d.name, err)
	}
	row, column := bad.Position()
	return fmt.Errorf("%s:%d:%d: %s", d.name, row, column, strings.TrimPrefix(bad.Error(), "toml: "))
}

func (d *Document) findExpressions() error {
	counts := map[string]int{} // of the tables in each array of tables so far
	table := ""
	parser := unstable.Parser{}
	parser.Reset(d.data)
	for parser.NextExpression() {
		node := parser.Expression()
		e := expression{end: len(d.data)}
		var parts []string
		for key := node.Key(); key.Next(); {
			if e.line == 0 {
				e.line = parser.Shape(key.Node().Raw).Start.Line
			}
			parts = append(parts, string(key.Node().Data))
		}
		switch node.Kind {
		case unstable.KeyValue:
			e.field = table + strings.Join(parts, ".")
		case unstable.ArrayTable:
			counts[strings.Join(parts, ".")]++
			fallthrough
		default:
			e.field = latest(parts, counts)
			table = e.field + "."
		}
		e.begin = d.lineBegin(e.line)
		if n := len(d.expressions); n > 0 {
			d.expressions[n-1].end = e.begin
		}
		d.expressions = append(d.expressions, e)
		d.lines[e.field] = e.line
	}
	return parser.Error()
}

// latest writes the name of a table that lies in arrays of tables with the index that each of them has reached:
// [zones.beds] is zones[3].beds.
func latest(parts []string, counts map[string]int) string {
	var name strings.Builder
	for i, part := range parts {
		if i > 0 {
			name.WriteByte('.')
		}
		name.WriteString(part)
		if n := counts[strings.Join(parts[:i+1], ".")]; n > 0 {
			fmt.Fprintf(&name, "[%d]", n-1)
		}
	}
	return name.String()
}

func (d *Document) lineBegin(line int) int {
	at := 0
	for range line - 1 {
		at += bytes.IndexByte(d.data[at:], '\n') + 1
	}
	return at
}

// Has says whether the document holds a field or the head of a table.
func (d *Document) Has(field string) bool { return d.lines[field] > 0 }

// Line returns the line of a field or of the nearest table around it; 0: neither is there.
func (d *Document) Line(field string) int {
	for field != "" {
		if line := d.lines[field]; line > 0 {
			return line
		}
		field = field[:max(strings.LastIndexAny(field, ".["), 0)]
	}
	return 0
}

// Errors joins problems, each with its place, by their lines; of none it is nil.
func (d *Document) Errors(problems []Problem) error {
	sorted := slices.Clone(problems)
	slices.SortStableFunc(sorted, func(a, b Problem) int { return d.Line(a.Field) - d.Line(b.Field) })
	all := make([]error, len(sorted))
	for i, p := range sorted {
		if line := d.Line(p.Field); line > 0 {
			all[i] = fmt.Errorf("%s:%d: %w", d.name, line, p)
		} else {
			all[i] = fmt.Errorf("%s: %w", d.name, p)
		}
	}
	return errors.Join(all...)
}
