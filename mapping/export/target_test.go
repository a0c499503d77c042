// Nothing is overwritten but an export, nothing is written among the sources, and a map is that of its beds.

package export

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// folders makes folders, and files in them, below a new one; a name that ends in / is a folder.
func folders(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range names {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, "/") {
			if err := os.MkdirAll(path, 0o777); err != nil {
				t.Fatal(err)
			}
		} else if err := os.WriteFile(path, []byte("0123  "+filepath.Base(name)+"\n"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestTargets(t *testing.T) {
	dir := folders(t, "yard/beds/soft-a-k036.wav", "yard/takes/ama/mug.wav", "yard/map.toml", "yard/other/loud-a-k036.wav", "there/mine.txt", "empty/", "file",
		"export/SHA256SUMS", "mixed/SHA256SUMS", "mixed/letter.txt")
	if err := os.WriteFile(filepath.Join(dir, "export", "SHA256SUMS"), []byte("00  wav/a.wav\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(dir, "export", "wav"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "export", "wav", "a.wav"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link")
	if err := os.Symlink(filepath.Join(dir, "yard", "takes"), link); err != nil && runtime.GOOS != "windows" {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(dir, "export"), filepath.Join(dir, "latest")); err != nil && runtime.GOOS != "windows" {
		t.Fatal(err)
	}
	m := yardMap()
	m.Zones[0].Beds["loud"][0] = "other/loud-a-k036.wav"
	for _, c := range []struct {
		out   string
		force bool
		says  string // "": may be used
	}{
		{"new", false, ""}, {"yard/new", false, ""},
		{"yard/takes/new", false, "which the export is made from"}, {"yard/takes", true, "which the export is made from"}, {"yard/takes/ama/deep", true, "which the export is made from"},
		{"yard/beds", false, "which the export is made from"}, {"yard/other/new", false, "which the export is made from"}, {"link/new", false, "which the export is made from"},
		{"yard", true, "no export: it has no SHA256SUMS"}, {"there", false, "is there already"}, {"there", true, "no export: it has no SHA256SUMS"}, {"empty", false, "is there already"},
		{"empty", true, ""}, {"file", true, "found a file, expected a folder"}, {"export", false, "--force"}, {"export", true, ""}, {"latest", true, ""},
		{"mixed", true, "holds letter.txt, which no export wrote"}, {"none/new", false, "make it first"},
	} {
		err := CheckTarget(filepath.Join(dir, filepath.FromSlash(c.out)), filepath.Join(dir, "yard"), m, c.force)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s, force %v: %v, want %q", c.out, c.force, err, c.says)
		}
	}
}

func TestStaleMaps(t *testing.T) {
	m := yardMap()
	dir := folders(t, append(bedsOf(m), "map.toml")...)
	at := func(name string, when time.Time) {
		if err := os.Chtimes(filepath.Join(dir, filepath.FromSlash(name)), when, when); err != nil {
			t.Fatal(err)
		}
	}
	now := time.Now()
	at("map.toml", now)
	for _, bed := range bedsOf(m) {
		at(bed, now)
	}
	path := filepath.Join(dir, "map.toml")
	if err := CheckFresh(path, m); err != nil {
		t.Errorf("beds as old as the map: %v", err)
	}
	for i, bed := range bedsOf(m)[:5] {
		at(bed, now.Add(time.Duration(i)*time.Second))
	}
	if err := CheckFresh(path, m); err == nil || !strings.Contains(err.Error(), "and 1 more changed after the map was written") || !strings.Contains(err.Error(), "lapstrake build") || !strings.HasPrefix(err.Error(), path) {
		t.Errorf("four newer beds: %v", err)
	}
	if err := os.Remove(filepath.Join(dir, filepath.FromSlash(bedsOf(m)[1]))); err != nil {
		t.Fatal(err)
	}
	at("map.toml", now.Add(time.Minute))
	if err := CheckFresh(path, m); err != nil {
		t.Errorf("a missing bed is not stale: %v", err)
	}
}

// A disk too small is told before anything is written.
func TestSpaceIsCheckedBeforehand(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	if err := checkSpace(out, 0); err != nil {
		t.Error(err)
	}
	err := checkSpace(out, math.MaxInt64/2)
	if !errors.Is(err, syscall.ENOSPC) || !strings.HasPrefix(err.Error(), out+": needs ") || !strings.Contains(err.Error(), "are free on that disk") {
		t.Errorf("exabytes: %v", err)
	}
	if free, err := freeBytes(t.TempDir()); err != nil || free <= 0 {
		t.Errorf("%d bytes are free, %v", free, err)
	}
}
