package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/project"
)

// While one command works on a project, every other that would change it ends with a sentence, and changes nothing.
func TestTwoCommandsOnOneProject(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, project.TakesFolder), 0o777); err != nil {
		t.Fatal(err)
	}
	release, err := project.Lock(dir, "build")
	if err != nil {
		t.Fatal(err)
	}
	for _, words := range [][]string{{"intake", dir}, {"build", dir}, {"build", dir, "--plan"}, {"map", dir},
		{"back", dir, "1"}, {"demo", dir, "--small", "--takes", "1", "--force"}} {
		var out, notices bytes.Buffer
		if code := run(words, streams{&out, &notices}); code != exitFailure {
			t.Errorf("%v: exit code %d, want %d", words, code, exitFailure)
		}
		if !strings.Contains(notices.String(), "another lapstrake works on this project (build, process ") {
			t.Errorf("%v: it says %q", words, &notices)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, project.SheetFile)); err == nil {
		t.Error("a sheet was written all the same")
	}
	release()
	var out, notices bytes.Buffer
	if code := run([]string{"intake", dir}, streams{&out, &notices}); code != exitDone {
		t.Errorf("after it: exit code %d: %s", code, &notices)
	}
}
