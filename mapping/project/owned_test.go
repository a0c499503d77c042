package project

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file of a project is known by any name: its own, a link to it, a hard link, a folder that is a link.
func TestOwnFilesAreKnownByAnyName(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "yard")
	take := filepath.Join(dir, TakesFolder, "anna", "bell.wav")
	if err := os.MkdirAll(filepath.Dir(take), 0o777); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{take, filepath.Join(dir, SheetFile), filepath.Join(root, "mine.wav")} {
		if err := os.WriteFile(path, []byte("x"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	hard, soft, folder := filepath.Join(root, "hard.wav"), filepath.Join(root, "soft.wav"),
		filepath.Join(root, "folder")
	for _, err := range []error{os.Link(take, hard), os.Symlink(take, soft),
		os.Symlink(filepath.Join(dir, TakesFolder), folder)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for path, what := range map[string]string{
		take: "a take",
		hard: "a take",
		soft: "a take",
		filepath.Join(folder, "anna", "bell.wav"):  "a take",
		filepath.Join(dir, TakesFolder, "new.wav"): "a take",
		filepath.Join(dir, SheetFile):              "the take sheet",
		filepath.Join(dir, SettingsFile):           "the settings",
		filepath.Join(dir, "map.toml"):             "the map",
		filepath.Join(dir, HeardFile):              "the ledger",
	} {
		err := CheckOutput(path, dir)
		var owned *OwnedError
		if !errors.As(err, &owned) || owned.What != what || !strings.Contains(err.Error(), "choose another name") {
			t.Errorf("%s: %v, want that it is %s", path, err, what)
		}
	}
	for _, path := range []string{filepath.Join(root, "mine.wav"), filepath.Join(root, "new.wav"),
		filepath.Join(dir, "chord.wav"), filepath.Join(root, "none", "x.wav")} {
		if err := CheckOutput(path, dir); err != nil {
			t.Errorf("%s: %v, want nothing against it", path, err)
		}
	}
	// From another project too.
	if err := CheckOutput(take, filepath.Join(root, "elsewhere")); err == nil {
		t.Error("a take of another project may be written over")
	}
}
