package mapping

import (
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// linesOf maps a field of a TOML document, such as zones[3].start, to its line.
type linesOf map[string]int

// of returns the line of a field or of the nearest table around it, 0 if none.
func (l linesOf) of(field string) int {
	for field != "" {
		if line := l[field]; line > 0 {
			return line
		}
		field = field[:max(strings.LastIndexAny(field, ".["), 0)]
	}
	return 0
}

// missingKeys returns a problem for each [[zones]] table that does not tell one of
// its keys: it would be taken for key 0.
func (l linesOf) missingKeys() []error {
	var problems []error
	for i := 0; ; i++ {
		zone := fmt.Sprintf("zones[%d]", i)
		if l[zone] == 0 {
			return problems
		}
		for _, key := range []string{"root", "low", "high"} {
			if l[zone+"."+key] == 0 {
				problems = append(problems, Problem{zone + "." + key, "missing: expected a MIDI key, 0 to 127"})
			}
		}
	}
}

// fieldLines walks a document that has been decoded once, so it parses.
func fieldLines(data []byte) linesOf {
	lines, counts := linesOf{}, map[string]int{}
	table := ""
	parser := unstable.Parser{}
	parser.Reset(data)
	for parser.NextExpression() {
		expression := parser.Expression()
		var parts []string
		line := 0
		for key := expression.Key(); key.Next(); {
			if line == 0 {
				line = parser.Shape(key.Node().Raw).Start.Line
			}
			parts = append(parts, string(key.Node().Data))
		}
		switch expression.Kind {
		case unstable.Table:
			name := latest(parts, counts)
			table = name + "."
			lines[name] = line
		case unstable.ArrayTable:
			counts[strings.Join(parts, ".")]++
			name := latest(parts, counts)
			table = name + "."
			lines[name] = line
		case unstable.KeyValue:
			lines[table+strings.Join(parts, ".")] = line
		}
	}
	return lines
}

// latest writes the name of a table that lies in arrays of tables with the
// index that each of them has reached: [zones.beds] is zones[3].beds.
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
