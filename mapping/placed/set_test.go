package placed

import "testing"

// One value changes, and no other byte of a file that a person laid out.
func TestSetChangesOneValueAlone(t *testing.T) {
	for _, c := range []struct {
		name, text, field string
		value             any
		want              string
	}{
		{"a number", "# mine\n[grid]\n  ranks=2   # two\nroot_key = 60\n", "grid.ranks", 3,
			"# mine\n[grid]\n  ranks=3   # two\nroot_key = 60\n"},
		{"a text with a number sign", "[project]\ntitle = \"a # b\" # c\n", "project.title", "d",
			"[project]\ntitle = 'd' # c\n"},
		{"a list of many lines", "[grid]\nstarts = [0, # first\n  0.5, # second\n] # all\nranks = 2\n", "grid.starts",
			[]float64{0.0, 0.25}, "[grid]\nstarts = [0.0, 0.25] # all\nranks = 2\n"},
		{"no such field", "[beds]\nlength_sec = 5\n\n[grid]\n", "beds.overlap_sec", 0.5,
			"[beds]\noverlap_sec = 0.5\nlength_sec = 5\n\n[grid]\n"},
		{"no such section", "[beds]\nlength_sec = 5", "grid.ranks", 1,
			"[beds]\nlength_sec = 5\n\n[grid]\nranks = 1\n"},
		{"an empty file", "", "grid.ranks", 1, "[grid]\nranks = 1\n"},
		{"the last line has no end", "[grid]\nranks = 1", "grid.ranks", 2, "[grid]\nranks = 2"},
		{"a Windows editor's", "\ufeff[grid]\r\nranks = 1\r\n", "grid.root_key", 62,
			"\ufeff[grid]\r\nroot_key = 62\r\nranks = 1\r\n"},
		{"dotted", "beds.length_sec = 5 # s\n", "beds.length_sec", 6.5, "beds.length_sec = 6.5 # s\n"},
	} {
		got, err := Set([]byte(c.text), c.field, c.value)
		if err != nil || string(got) != c.want {
			t.Errorf("%s: got %q, %v\nwant %q", c.name, got, err, c.want)
		}
	}
}
