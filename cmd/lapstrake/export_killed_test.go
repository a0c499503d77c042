// Exports that are killed, and disks that are full: what is there is whole.

//go:build linux && cgo

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// wholeExport says what is wrong with an export: it is whole when its checksums are right and list all its files.
func wholeExport(dir string) (wrong string) {
	sums, err := os.ReadFile(filepath.Join(dir, "SHA256SUMS"))
	if err != nil {
		return err.Error()
	}
	want := map[string]string{}
	for line := range strings.Lines(string(sums)) {
		sum, name, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		want[name] = sum
	}
	if _, found := want["bank.dls"]; !found {
		return "no bank in SHA256SUMS"
	}
	err = filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		data, err := os.ReadFile(path)
		sum := sha256.Sum256(data)
		if want[name] != hex.EncodeToString(sum[:]) && name != "SHA256SUMS" {
			wrong += name + " is not as listed; "
		}
		delete(want, name)
		return err
	})
	for name := range want {
		wrong += name + " is missing; "
	}
	if err != nil {
		wrong += err.Error()
	}
	return wrong
}

// A hundred exports are killed at any moment: half of them new, half of them over an earlier one. A new one is there
// whole or not at all; in place of an earlier one there is always a whole one.
func TestKilledExports(t *testing.T) {
	t.Parallel()
	project, dir := toneProject(t, 48, 71, 1, nil), t.TempDir()
	standing := filepath.Join(dir, "standing")
	whole := time.Hour // that an export takes
	for range 3 {
		began := time.Now()
		if code := launch(t, nil, "", "lapstrake", "export", project, "-o", standing,
			"--force").wait(); code != exitDone {
			t.Fatalf("exit code %d", code)
		}
		whole = min(whole, time.Since(began))
	}
	if wrong := wholeExport(standing); wrong != "" {
		t.Fatal(wrong)
	}
	kills := 100
	if testing.Short() {
		kills = 10
	}
	finished := 0
	for i := range kills {
		out := filepath.Join(dir, "new")
		words := []string{"lapstrake", "export", project, "-o", out}
		if i%2 == 1 {
			out = standing
			words = []string{"lapstrake", "export", project, "-o", out, "--force", "--format",
				[]string{"16", "24"}[i/2%2]}
		}
		p := launch(t, nil, "", words...)
		time.Sleep(time.Duration(rand.Float64() * 1.2 * float64(whole)))
		p.command.Process.Signal(syscall.SIGKILL) // fails where it has ended
		<-p.ended
		if p.command.ProcessState.Success() {
			finished++
		}
		_, err := os.Stat(out)
		if out == standing && err != nil {
			t.Fatalf("kill %d: the earlier export is gone: %v", i, err)
		}
		if err == nil {
			if wrong := wholeExport(out); wrong != "" {
				t.Errorf("kill %d: what is there is not whole: %s", i, wrong)
			}
		}
		if out != standing {
			os.RemoveAll(out)
		}
	}
	t.Logf("%d of %d ended before they were killed", finished, kills)
	if finished > kills*3/4 {
		t.Errorf("%d of %d exports ended before they were killed: too few were interrupted", finished, kills)
	}
	left, _ := filepath.Glob(filepath.Join(dir, ".lapstrake-*"))
	t.Logf("%d hidden folders are left", len(left))
	old := time.Now().Add(-time.Hour)
	for _, folder := range left {
		filepath.WalkDir(folder, func(path string, _ fs.DirEntry, _ error) error { return os.Chtimes(path, old, old) })
	}
	runs(t, "export", project, "-o", standing, "--force")
	if left, _ := filepath.Glob(filepath.Join(dir, ".lapstrake-*")); len(left) > 0 {
		t.Errorf("an export leaves what killed ones left an hour ago: %v", left)
	}
}

const fullDiskVariable = "LAPSTRAKE_TEST_FULL_DISK_EXPORT"

// A disk that fills up, stood in for by the size that the kernel allows a file: the error names the target, not a
// hidden folder, with the mend, and nothing is left.
func TestExportOntoAFullDisk(t *testing.T) {
	t.Parallel()
	if project := os.Getenv(fullDiskVariable); project != "" {
		const limitBytes = 100_000 // a part of a cycle
		limit := syscall.Rlimit{Cur: limitBytes, Max: limitBytes}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			t.Fatal(err)
		}
		var out, notices bytes.Buffer
		if code := run([]string{"export", project, "-o", filepath.Join(project, "out")},
			streams{&out, &notices}); code != exitFailure {
			t.Errorf("exit code %d, want %d", code, exitFailure)
		}
		for _, said := range []string{project + "/out/", "file too large", "not full"} {
			if !strings.Contains(notices.String(), said) {
				t.Errorf("%q is not said in:\n%s", said, &notices)
			}
		}
		if strings.Contains(notices.String(), ".part") {
			t.Errorf("it speaks of a hidden folder:\n%s", &notices)
		}
		return
	}
	project := toneProject(t, 48, 59, 3, nil)
	env := append(os.Environ(), fullDiskVariable+"="+project)
	p := launch(t, env, "", os.Args[0], "-test.run=^TestExportOntoAFullDisk$", "-test.v")
	if code := p.wait(); code != 0 {
		t.Errorf("%s%s", &p.out, &p.notices)
	}
	entries, err := os.ReadDir(project)
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		if entry.Name() != "beds" && entry.Name() != "map.toml" {
			t.Errorf("%s is left over", entry.Name())
		}
	}
}

// Ctrl-C ends an export at once and leaves nothing, not even hidden.
func TestInterruptedExport(t *testing.T) {
	t.Parallel()
	project, dir := toneProject(t, 21, 108, 4, nil), t.TempDir()
	p := launch(t, nil, "", "lapstrake", "export", project, "-o", filepath.Join(dir, "out"))
	p.waitUntil("its first file", func() bool {
		files, _ := filepath.Glob(filepath.Join(dir, ".lapstrake-*", "*"))
		return len(files) > 0
	})
	p.signal(os.Interrupt)
	if code := p.wait(); code != exitInterrupted {
		t.Errorf("exit code %d, want %d", code, exitInterrupted)
	}
	if want := "interrupted: " + filepath.Join(dir, "out") +
		" was not written"; !strings.Contains(p.notices.String(), want) {
		t.Errorf("it says %q, want %q", &p.notices, want)
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) > 0 {
		t.Errorf("left are %v, %v", entries, err)
	}
}
