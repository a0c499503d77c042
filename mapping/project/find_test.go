package project

import (
	"os"
	"path/filepath"
	"testing"
)

// A project is understood by its files and folders, from outside and from within.
func TestFind(t *testing.T) {
	top := t.TempDir()
	for _, file := range []string{
		"yard/takes.csv", "yard/lapstrake.toml", "yard/map.toml", "yard/other.toml", "yard/heard.csv",
		"yard/takes/anna/takes/bell.wav",
		"yard/beds/soft-a-k036.wav", "new/takes/anna/bell.wav", "elsewhere/score.mid",
	} {
		path := filepath.Join(top, filepath.FromSlash(file))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct{ from, path, want string }{
		{"", "yard", "yard"},
		{"", "yard/", "yard/"},
		{"", "yard/takes.csv", "yard"},
		{"", "yard/lapstrake.toml", "yard"},
		{"", "yard/map.toml", "yard"},
		{"", "yard/heard.csv", "yard"},
		{"", "yard/takes", "yard"},
		{"", "yard/takes/", "yard"},
		{"", "yard/beds/", "yard"},
		{"", "yard/takes/anna/takes/bell.wav", "yard"},
		{"", "yard/takes/anna/takes", "yard"},
		{"", "yard/beds/soft-a-k036.wav", "yard"},
		{"", "yard/other.toml", "yard/other.toml"},
		{"", "new/takes", "new"},
		{"", "new", "new"},
		{"", "elsewhere", "elsewhere"},
		{"", "elsewhere/score.mid", "elsewhere/score.mid"},
		{"", "nowhere", "nowhere"},
		{"yard", ".", "."},
		{"yard", "takes", "."},
		{"yard/takes", ".", ".."},
		{"yard/takes/anna", ".", "../.."},
		{"yard/takes/anna", "..", "../.."},
	} {
		t.Chdir(filepath.Join(top, filepath.FromSlash(c.from)))
		if found := filepath.ToSlash(Find(filepath.FromSlash(c.path))); found != c.want {
			t.Errorf("in %q, %q: found %q, want %q", c.from, c.path, found, c.want)
		}
	}
}
