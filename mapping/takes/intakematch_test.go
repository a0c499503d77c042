// Rows follow their takes through renaming, swapping, copying and editing.

package takes

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestMatch(t *testing.T) {
	// path=content; want: the row's path for each file
	for name, c := range map[string]struct{ rows, files, want string }{
		"as it was":                {"a=1 b=2", "a=1 b=2", "a b"},
		"edited":                   {"a=1 b=2", "a=1 b=3", "a b"},
		"renamed":                  {"a=1 b=2", "b=2 c=1", "b a"},
		"moved into a folder":      {"a=1 x/a=2", "y/a=1 z/a=2", "a x/a"},
		"moved, alike, by name":    {"x/b=1 x/a=1", "y/a=1 y/b=1", "x/a x/b"},
		"copied":                   {"a=1", "a=1 b=1", "a -"},
		"copied, then edited":      {"a=1", "a=2 a_old=1", "a -"},
		"swapped":                  {"a=1 b=2", "a=2 b=1", "b a"},
		"renamed over another":     {"a=1 b=2", "b=1", "a"},
		"renamed in a circle":      {"a=1 b=2 c=3", "a=3 b=1 c=2", "c a b"},
		"renamed and a new one":    {"a=1", "a=2 b=1", "a -"},
		"gone and another new":     {"a=1", "b=2", "-"},
		"unreadable stays":         {"a= b=2", "a= b=2", "a b"},
		"unreadable are not alike": {"a=", "b=", "-"},
	} {
		s := &Sheet{}
		for word := range strings.FieldsSeq(c.rows) {
			path, hash, _ := strings.Cut(word, "=")
			s.Rows = append(s.Rows, Row{Path: path, Hash: hash})
		}
		var files []takeFile
		for word := range strings.FieldsSeq(c.files) {
			path, hash, _ := strings.Cut(word, "=")
			files = append(files, takeFile{path: path, hash: hash})
		}
		var got []string
		for _, row := range s.match(files) {
			if row < 0 {
				got = append(got, "-")
			} else {
				got = append(got, s.Rows[row].Path)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: rows %v, want %s", name, got, c.want)
		}
	}
}

// However files and rows lie, no row gets two files, and a take that is as it was keeps its row.
func TestMatchIsOneToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		paths := rapid.SliceOfDistinct(rapid.SampledFrom([]string{"a", "b", "c", "x/a", "x/b", "y/a"}),
			rapid.ID[string])
		hashes := rapid.SampledFrom([]string{"", "1", "2", "3"})
		s, files := &Sheet{}, []takeFile{}
		rowHash := map[string]string{}
		for _, path := range paths.Draw(t, "rows") {
			rowHash[path] = hashes.Draw(t, "hash")
			s.Rows = append(s.Rows, Row{Path: path, Hash: rowHash[path]})
		}
		for _, path := range paths.Draw(t, "files") {
			files = append(files, takeFile{path: path, hash: hashes.Draw(t, "hash")})
		}
		taken := map[int]bool{}
		for i, row := range s.match(files) {
			if row >= 0 && taken[row] {
				t.Fatalf("row %d has two files", row)
			}
			taken[row] = true
			if hash, inSheet := rowHash[files[i].path]; inSheet && hash == files[i].hash &&
				(row < 0 || s.Rows[row].Path != files[i].path) {
				t.Fatalf("%s is as it was and lost its row", files[i].path)
			}
		}
	})
}
