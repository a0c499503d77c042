// Decoding lapstrake.toml so that every problem in it is found in one go.

package project

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"lapstrake/mapping"
)

// settingsExpression is one key with its value, or the head of a section, with the lines it takes up.
type settingsExpression struct {
	field      string
	line       int // from 1
	begin, end int // bytes of its lines and of what follows up to the next expression
}

// splitSettings lists the expressions of a document, or tells what is wrong with its syntax.
func splitSettings(data []byte) ([]settingsExpression, error) {
	var anything map[string]any
	if err := toml.Unmarshal(data, &anything); err != nil {
		return nil, err
	}
	var all []settingsExpression
	section := ""
	parser := unstable.Parser{}
	parser.Reset(data)
	for parser.NextExpression() {
		expression := parser.Expression()
		line := 0
		var parts []string
		for key := expression.Key(); key.Next(); {
			if line == 0 {
				line = parser.Shape(key.Node().Raw).Start.Line
			}
			parts = append(parts, string(key.Node().Data))
		}
		field := strings.Join(parts, ".")
		if expression.Kind == unstable.KeyValue {
			field = section + field
		} else {
			section = field + "."
		}
		begin := lineBegin(data, line)
		if n := len(all); n > 0 {
			all[n-1].end = begin
		}
		all = append(all, settingsExpression{field, line, begin, len(data)})
	}
	return all, parser.Error()
}

func lineBegin(data []byte, line int) int {
	at := 0
	for range line - 1 {
		at += bytes.IndexByte(data[at:], '\n') + 1
	}
	return at
}

// decodeSettings decodes data into s. The decoder stops at the first value of the wrong type; that expression is
// then blanked out and the rest decoded again.
func decodeSettings(data []byte, expressions []settingsExpression, s *Settings) []placedProblem {
	var problems []placedProblem
	rest := bytes.Clone(data)
	for range len(expressions) + 1 {
		err := toml.NewDecoder(bytes.NewReader(rest)).DisallowUnknownFields().Decode(s)
		var unknown *toml.StrictMissingError
		var bad *toml.DecodeError
		switch {
		case err == nil:
			return problems
		case errors.As(err, &unknown):
			for i := range unknown.Errors {
				line, _ := unknown.Errors[i].Position()
				field := strings.Join(unknown.Errors[i].Key(), ".")
				problems = append(problems, placedProblem{line, mapping.Problem{Field: field, Text: unknownSetting(field)}})
			}
			return problems
		case errors.As(err, &bad):
			line, _ := bad.Position()
			at := expressionAt(expressions, line)
			if at < 0 {
				return append(problems, placedProblem{line, mapping.Problem{Field: strings.Join(bad.Key(), "."), Text: bad.Error()}})
			}
			e := expressions[at]
			problems = append(problems, placedProblem{e.line, mapping.Problem{Field: e.field, Text: wrongType(e, data)}})
			blank(rest[e.begin:e.end])
		default:
			return append(problems, placedProblem{0, mapping.Problem{Field: SettingsFile, Text: err.Error()}})
		}
	}
	return problems
}

func expressionAt(expressions []settingsExpression, line int) int {
	at := -1
	for i, e := range expressions {
		if e.line <= line {
			at = i
		}
	}
	return at
}

func lineOf(expressions []settingsExpression, field string) int {
	section, _, _ := strings.Cut(field, ".")
	line := 0
	for _, e := range expressions {
		if e.field == field {
			return e.line
		}
		if e.field == section {
			line = e.line
		}
	}
	return line
}

func blank(text []byte) {
	for i, c := range text {
		if c != '\n' {
			text[i] = ' '
		}
	}
}

// wrongType tells what was found where another type was expected.
func wrongType(e settingsExpression, data []byte) string {
	text, _, _ := strings.Cut(string(data[e.begin:e.end]), "\n")
	_, value, _ := strings.Cut(text, "=")
	if value = strings.TrimSpace(value); !strings.ContainsAny(value, `"'`) {
		value, _, _ = strings.Cut(value, " #")
	}
	defaults := Default()
	expected := "a section, [" + e.field + "], with its settings on the lines after it"
	eachSetting(&defaults, func(field string, kept reflect.Value) {
		if field == e.field {
			expected = typeInWords(kept)
			if rule, found := ruleOf(field); found && rule.expected() != "" {
				expected += ", " + rule.expected()
			}
		}
	})
	return fmt.Sprintf("found %s: expected %s", value, expected)
}

func typeInWords(value reflect.Value) string {
	switch value.Kind() {
	case reflect.Bool:
		return "true or false, without quotes"
	case reflect.Int, reflect.Int64:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.Slice:
		if value.Type().Elem().Kind() == reflect.String {
			return `a list of texts, such as ["a", "b"]`
		}
		return "a list of numbers, such as [0, 0.5]"
	}
	return "a text in quotes"
}

// unknownSetting tells of a setting that is none, with the nearest one that is.
func unknownSetting(field string) string {
	text := "no such setting: remove it or mend its spelling"
	nearest, least := "", 4 // more than three changed letters is another word
	for _, rule := range settingRules {
		if d := editDistance(field, rule.field); d < least {
			nearest, least = rule.field, d
		}
	}
	if nearest != "" {
		text = fmt.Sprintf("no such setting: remove it, or is %s meant?", nearest)
	}
	return text
}

// editDistance counts the letters to put in, take out or change from a to b (Levenshtein 1966).
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			changed := corner
			if a[i] != b[j] {
				changed++
			}
			corner = row[j+1]
			row[j+1] = min(changed, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
