// Changing one value of a TOML text and nothing else.

package placed

import (
	"bytes"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Set returns data with another value for a field of a section, such as grid.ranks. Comments, order and layout stay; a
// field that is not there is added below the head of its section, and the section at the end where there is none. data
// must be TOML. A field that stands within an inline table, or below a dotted name, is not found: whoever calls Set
// reads the result again.
func Set(data []byte, field string, value any) ([]byte, error) {
	encoded, err := toml.Marshal(map[string]any{"x": value})
	if err != nil {
		return nil, err
	}
	text := strings.TrimSpace(strings.TrimPrefix(string(encoded), "x = "))
	d, err := Read(data, field)
	if err != nil {
		return nil, err
	}
	mark := data[:len(data)-len(d.data)] // Windows' byte order mark
	begin, end, added := d.placeOf(field, text)
	return bytes.Join([][]byte{mark, d.data[:begin], []byte(added), d.data[end:]}, nil), nil
}

// placeOf says which bytes give way to which text so that a field has a value.
func (d *Document) placeOf(field, text string) (begin, end int, added string) {
	newline := "\n"
	if bytes.Contains(d.data, []byte("\r\n")) {
		newline = "\r\n"
	}
	section, key, _ := strings.Cut(field, ".")
	for _, e := range d.expressions {
		if e.field == field {
			begin, end := valueOf(d.data, e)
			return begin, end, text
		}
	}
	line := key + " = " + text + newline
	for _, e := range d.expressions {
		if e.field != section {
			continue
		}
		if at := bytes.IndexByte(d.data[e.begin:], '\n'); at >= 0 {
			return e.begin + at + 1, e.begin + at + 1, line
		}
		return len(d.data), len(d.data), newline + line
	}
	line = "[" + section + "]" + newline + line
	if len(d.data) > 0 {
		line = newline + line
		if d.data[len(d.data)-1] != '\n' {
			line = newline + line
		}
	}
	return len(d.data), len(d.data), line
}

// valueOf finds the bytes of an expression's value: the shortest text after its equals sign, up to a line's end or a
// comment, that is a value of TOML.
func valueOf(data []byte, e expression) (begin, end int) {
	begin = e.begin + bytes.IndexByte(data[e.begin:e.end], '=') + 1
	for begin < e.end && (data[begin] == ' ' || data[begin] == '\t') {
		begin++
	}
	for end = begin; end < e.end; end++ {
		var anything map[string]any
		atCut := data[end] == '\n' || data[end] == '#'
		if atCut && toml.Unmarshal([]byte("x = "+string(data[begin:end])+"\n"), &anything) == nil {
			break
		}
	}
	return begin, begin + len(bytes.TrimRight(data[begin:end], " \t\r\n"))
}
