// A folder is there whole or not at all, and what was there before is never half replaced.

package whole

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// fill writes files into a folder that is being made.
func fill(t *testing.T, f *Folder, names ...string) {
	t.Helper()
	for _, name := range names {
		path := filepath.Join(f.Temp(), name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := Write(path, []byte(name)); err != nil {
			t.Fatal(err)
		}
	}
}

func newFolder(t *testing.T, path string) *Folder {
	t.Helper()
	f, err := CreateFolder(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(f.Discard)
	return f
}

func TestFolderAppearsWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out")
	f := newFolder(t, path)
	fill(t, f, "a", "wav/b")
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("before Commit: %v", err)
	}
	if names := entries(t, dir); len(names) != 1 || !strings.HasPrefix(names[0], ".") {
		t.Errorf("before Commit the folder holds %q, want one hidden name", names)
	}
	if err := f.Commit(false); err != nil {
		t.Fatal(err)
	}
	f.Discard()
	if got := content(t, filepath.Join(path, "wav", "b")); got != "wav/b" {
		t.Errorf("after Commit: %q", got)
	}
	if names := entries(t, dir); len(names) != 1 {
		t.Errorf("after Commit: %q", names)
	}
	if err := f.Commit(false); !errors.Is(err, os.ErrClosed) {
		t.Errorf("a second Commit: %v", err)
	}
}

func TestFolderThatIsThereIsReplacedWhenAskedTo(t *testing.T) {
	for name, exchange := range map[string]func(string, string) error{"in one step": exchange,
		"in steps": exchangeInSteps} {
		dir := t.TempDir()
		one, other := filepath.Join(dir, "one"), filepath.Join(dir, "other")
		for _, path := range []string{one, other} {
			if err := os.Mkdir(path, 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(path, "name"), []byte(path), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if err := exchange(one, other); err != nil {
			t.Fatal(err)
		}
		if content(t, filepath.Join(one, "name")) != other || content(t, filepath.Join(other, "name")) != one ||
			len(entries(t, dir)) != 2 {
			t.Errorf("%s: the folders did not change places: %q", name, entries(t, dir))
		}
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "out")
	first := newFolder(t, path)
	fill(t, first, "old")
	if err := first.Commit(false); err != nil {
		t.Fatal(err)
	}
	refused := newFolder(t, path)
	fill(t, refused, "new")
	if err := refused.Commit(false); !errors.Is(err, fs.ErrExist) || !strings.HasPrefix(err.Error(), path+": ") {
		t.Errorf("over a folder that is there: %v", err)
	}
	if names := entries(t, path); len(names) != 1 || names[0] != "old" {
		t.Errorf("refused, the folder holds %q", names)
	}
	second := newFolder(t, path)
	fill(t, second, "new")
	if err := second.Commit(true); err != nil {
		t.Fatal(err)
	}
	if names := entries(t, path); len(names) != 1 || names[0] != "new" {
		t.Errorf("replaced, the folder holds %q", names)
	}
	if names := entries(t, dir); len(names) != 1 {
		t.Errorf("beside it stand %q", names)
	}
}

func TestFolderOfNoFolder(t *testing.T) {
	missing := filepath.Join(t.TempDir(), "none", "out")
	if _, err := CreateFolder(missing); !errors.Is(err, fs.ErrNotExist) ||
		!strings.HasPrefix(err.Error(), missing+": ") || !strings.Contains(err.Error(), "make its folder first") {
		t.Errorf("a missing folder: %v", err)
	}
}

// A folder that was left by a killed program is swept away with its files, one that is being filled stays, however
// long ago it was made.
func TestSweepFolders(t *testing.T) {
	dir := t.TempDir()
	before := time.Now().Add(-time.Hour)
	left, filling := newFolder(t, filepath.Join(dir, "a")), newFolder(t, filepath.Join(dir, "b"))
	fill(t, left, "x")
	fill(t, filling, "x")
	for _, path := range []string{filepath.Join(left.Temp(), "x"), left.Temp(), filling.Temp()} {
		if err := os.Chtimes(path, before, before); err != nil {
			t.Fatal(err)
		}
	}
	if err := Sweep(dir, time.Minute); err != nil {
		t.Fatal(err)
	}
	if names := entries(t, dir); len(names) != 1 || names[0] != filepath.Base(filling.Temp()) {
		t.Errorf("left are %q, want the one being filled", names)
	}
}
