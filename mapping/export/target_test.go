// An export overwrites nothing but an export, writes nothing into the project's own folders, and refuses a stale map.

package export

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"lapstrake/mapping/export/testyard"
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
	dir := folders(t, "yard/beds/soft-a-k036.wav", "yard/takes/ama/mug.wav", "yard/map.toml",
		"yard/other/loud-a-k036.wav", "there/mine.txt", "empty/", "file")
	empty := sha256.Sum256(nil)
	sums := func(folder string, names ...string) {
		t.Helper()
		text := ""
		for _, name := range names {
			text += hex.EncodeToString(empty[:]) + "  " + name + "\n"
			path := filepath.Join(dir, folder, filepath.FromSlash(name))
			if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, nil, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.WriteFile(filepath.Join(dir, folder, checksumsFile), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	sums("export", "HOWTO.txt", "wav/a.wav", "bank.dls")
	sums("mixed", "HOWTO.txt", "wav/a.wav")
	sums("archive", "field-recording.wav")             // somebody's own, with checksums
	sums("backup", "HOWTO.txt", "letters/to-anna.txt") // and one that looks like ours
	sums("yard", "HOWTO.txt", "wav/a.wav")             // and a project that was checked in
	sums("edited", "HOWTO.txt", "bank.dls")
	sums("deeper", "HOWTO.txt")
	for _, name := range []string{"mixed/letter.txt", "edited/HOWTO.txt"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("mine"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, "deeper", "letters"), 0o777); err != nil {
		t.Fatal(err)
	}
	for link, to := range map[string]string{"link": "yard/takes", "latest": "export"} {
		if err := os.Symlink(filepath.Join(dir, to), filepath.Join(dir, link)); err != nil &&
			runtime.GOOS != "windows" {
			t.Fatal(err)
		}
	}
	m := testyard.Map()
	m.Zones[0].Beds["loud"][0] = "other/loud-a-k036.wav"
	for _, c := range []struct {
		out   string
		force bool
		says  string // "": may be used
	}{
		{"new", false, ""}, {"yard/new", false, ""},
		{"yard/takes/new", false, "lies in "}, {"yard/takes/ama/deep", true, "lies in "},
		{"yard/other/new", false, "lies in "}, {"link/new", false, "lies in "},
		{"yard/takes", true, "is or holds "}, {"yard/beds", false, "is or holds "}, {"yard", true, "is or holds "},
		{".", true, "is or holds "},
		{"there", false, "is there already; "},
		{"there", true, "no export: expected a SHA256SUMS that lists HOWTO.txt"}, {"archive", true, "no export: "},
		{"backup", true, "which no export wrote"}, {"mixed", true, "holds letter.txt, which no export wrote"},
		{"edited", true, "HOWTO.txt was changed since it was exported"},
		{"deeper", true, "holds letters, which no export wrote"},
		{"empty", false, "is there already"}, {"empty", true, ""},
		{"export", false, "is there already; choose another name, or replace an earlier export"}, {"export", true, ""},
		{"latest", true, ""},
		{"file", true, "found a file, expected a folder"}, {"none/new", false, "make the folder first"},
		{"file/new", false, "make the folder first"},
		{strings.Repeat("x", 300), false, "file name too long; expected a name in a folder"},
	} {
		err := CheckTarget(filepath.Join(dir, filepath.FromSlash(c.out)), filepath.Join(dir, "yard"), m, c.force)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%.20s, force %v: %v, want %q", c.out, c.force, err, c.says)
		}
	}
}

// A disk that is too small gives an error before anything is written.
func TestSpaceIsCheckedBeforehand(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	if err := checkSpace(out, 0); err != nil {
		t.Error(err)
	}
	err := checkSpace(out, math.MaxInt64/2)
	if !errors.Is(err, syscall.ENOSPC) || !strings.HasPrefix(err.Error(), out+": needs ") ||
		!strings.Contains(err.Error(), "are free on that disk") {
		t.Errorf("exabytes: %v", err)
	}
	if free, err := freeBytes(t.TempDir()); err != nil || free <= 0 {
		t.Errorf("%d bytes are free, %v", free, err)
	}
}
