// What a user relies on: the old file or the new one, nothing left behind, errors that name the target.

package whole

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

func content(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func entries(t *testing.T, folder string) []string {
	t.Helper()
	list, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, entry := range list {
		names = append(names, entry.Name())
	}
	return names
}

func TestTargetKeepsItsOldContentUntilCommit(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "map.toml")
	if err := Write(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	file, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Discard()
	if _, err := io.WriteString(file, "1234 and more"); err != nil {
		t.Fatal(err)
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(file, "NEW!"); err != nil {
		t.Fatal(err)
	}
	if got := content(t, path); got != "old" {
		t.Errorf("before Commit the target holds %q, want the old content", got)
	}
	if err := file.Commit(); err != nil {
		t.Fatal(err)
	}
	file.Discard()
	if got := content(t, path); got != "NEW! and more" {
		t.Errorf("after Commit and the deferred Discard the target holds %q", got)
	}
	if got := entries(t, folder); len(got) != 1 {
		t.Errorf("the folder holds %q, want the target alone", got)
	}
}

func TestDiscardLeavesNothing(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "bed.wav")
	file, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := file.Write([]byte("half a bed")); err != nil {
		t.Fatal(err)
	}
	file.Discard()
	file.Discard()
	if got := entries(t, folder); len(got) != 0 {
		t.Errorf("the folder holds %q, want nothing", got)
	}
	if _, err := file.Write(nil); !errors.Is(err, os.ErrClosed) || !strings.Contains(err.Error(), path) {
		t.Errorf("Write after Discard: %v, want os.ErrClosed naming the target", err)
	}
	if err := file.Commit(); !errors.Is(err, os.ErrClosed) {
		t.Errorf("Commit after Discard: %v, want os.ErrClosed", err)
	}
}

func TestTemporaryNameIsNoSoundFile(t *testing.T) {
	folder := t.TempDir()
	file, err := Create(filepath.Join(folder, "bed.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Discard()
	names := entries(t, folder)
	if len(names) != 1 || !strings.HasPrefix(names[0], ".") || strings.HasSuffix(names[0], ".wav") {
		t.Errorf("the temporary file is %q, want one hidden name that does not end in .wav", names)
	}
}

// A finished file has the permissions any other new file gets, not the 0600 of a private one.
func TestPermissionsAreUmaskNormal(t *testing.T) {
	folder := t.TempDir()
	plain, ours := filepath.Join(folder, "plain"), filepath.Join(folder, "ours")
	reference, err := os.Create(plain)
	if err != nil {
		t.Fatal(err)
	}
	reference.Close()
	if err := Write(ours, nil); err != nil {
		t.Fatal(err)
	}
	want, err := os.Stat(plain)
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.Stat(ours)
	if err != nil {
		t.Fatal(err)
	}
	if got.Mode() != want.Mode() {
		t.Errorf("mode %v, want %v as os.Create gives", got.Mode(), want.Mode())
	}
}

// A name as long as the file system takes still leaves room for the temporary one.
func TestLongestName(t *testing.T) {
	path := filepath.Join(t.TempDir(), strings.Repeat("k", 251)+".wav")
	if err := Write(path, []byte("x")); err != nil {
		t.Error(err)
	}
}

func TestErrorsNameTheTargetAndTheMend(t *testing.T) {
	folder := t.TempDir()
	inFile := filepath.Join(folder, "file")
	if err := os.WriteFile(inFile, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	missing := filepath.Join(folder, "none", "bed.wav")
	_, err := Create(missing)
	if !errors.Is(err, fs.ErrNotExist) || !strings.HasPrefix(err.Error(), missing+": ") ||
		!strings.Contains(err.Error(), "make its folder first") || strings.Contains(err.Error(), ".part") {
		t.Errorf("missing folder: %v", err)
	}
	if err := Write(folder, nil); err == nil || !strings.Contains(err.Error(), folder+": found a folder") {
		t.Errorf("a folder as target: %v", err)
	}
	under := filepath.Join(inFile, "bed.wav")
	if err := Write(under, nil); err == nil || !strings.HasPrefix(err.Error(), under+": ") {
		t.Errorf("a file as folder: %v", err)
	}
	if err := Write(os.DevNull, nil); err == nil || !strings.HasPrefix(err.Error(), os.DevNull+": ") {
		t.Errorf("a device as target: %v", err)
	}
}

// When the rename fails at the end, the temporary file does not stay behind.
func TestFailedCommitCleansUp(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "bed.wav")
	file, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(path, "in the way"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := file.Commit(); err == nil || !strings.HasPrefix(err.Error(), path+": ") {
		t.Errorf("Commit over a folder: %v, want an error naming the target", err)
	}
	if got := entries(t, folder); len(got) != 1 || got[0] != "bed.wav" {
		t.Errorf("the folder holds %q, want only what was in the way", got)
	}
}

func TestSymbolicLinkStaysALink(t *testing.T) {
	folder := t.TempDir()
	target, link := filepath.Join(folder, "shared.csv"), filepath.Join(folder, "takes.csv")
	if err := os.WriteFile(target, []byte("old"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, link); err != nil {
		if runtime.GOOS == "windows" { // needs a privilege there
			return
		}
		t.Fatal(err)
	}
	if err := Write(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	if got := content(t, target); got != "new" {
		t.Errorf("the linked file holds %q, want the new content", got)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("the link is %v, %v; want still a symbolic link", info, err)
	}
}

// Many writers of one target: the last rename wins and the content is one writer's, whole.
func TestConcurrentWritersNeverMix(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "bed.wav")
	var group sync.WaitGroup
	errs := make([]error, 8)
	for i := range errs {
		group.Add(1)
		go func() {
			defer group.Done()
			errs[i] = Write(path, []byte(strings.Repeat(string(rune('a'+i)), 100_000)))
		}()
	}
	group.Wait()
	if err := errors.Join(errs...); err != nil && runtime.GOOS != "windows" { // there one may find the other renaming
		t.Fatal(err)
	}
	got := content(t, path)
	if len(got) != 100_000 || strings.Count(got, got[:1]) != 100_000 {
		t.Errorf("%d bytes, %d of them the first writer's; want 100000 of one writer", len(got),
			strings.Count(got, got[:1]))
	}
	if got := entries(t, folder); len(got) != 1 {
		t.Errorf("the folder holds %q, want the target alone", got)
	}
}

// What a killed program left is swept away; what is being written stays.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	old, fresh, foreign := filepath.Join(dir, ".lapstrake-old.part"), filepath.Join(dir, ".lapstrake-new.part"),
		filepath.Join(dir, "mine.part")
	for _, path := range []string{old, fresh, foreign} {
		if err := os.WriteFile(path, []byte("x"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	before := time.Now().Add(-time.Hour)
	for _, path := range []string{old, foreign} {
		if err := os.Chtimes(path, before, before); err != nil {
			t.Fatal(err)
		}
	}
	if err := Sweep(dir, time.Minute); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]bool{old: false, fresh: true, foreign: true} {
		if _, err := os.Stat(path); (err == nil) != want {
			t.Errorf("%s: there %v, want %v", filepath.Base(path), err == nil, want)
		}
	}
}

// What a killed program left goes at once; what is being written stays.
func TestSweepAbandoned(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "beds"), 0o777); err != nil {
		t.Fatal(err)
	}
	writing, err := Create(filepath.Join(dir, "beds", "bed.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer writing.Discard()
	left := filepath.Join(dir, "beds", partPrefix+"left"+partSuffix)
	for _, path := range []string{left, filepath.Join(dir, "beds", "other.part")} {
		if err := os.WriteFile(path, []byte("half"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := SweepAbandoned(dir); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(left); err == nil {
		t.Error("what a killed program left is still there")
	}
	if _, err := os.Stat(filepath.Join(dir, "beds", "other.part")); err != nil {
		t.Error("a file of somebody else's was removed")
	}
	if _, err := writing.Write([]byte("whole")); err != nil {
		t.Fatal(err)
	}
	if err := writing.Commit(); err != nil {
		t.Errorf("the file that was being written: %v", err)
	}
}
