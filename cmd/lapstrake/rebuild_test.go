//go:build linux && cgo

package main

import (
	"os/exec"
	"regexp"
	"slices"
	"testing"
	"time"

	"lapstrake/mapping/project"
)

// A change that comes while another command works on the project is built when that is done.
func TestRebuilderWaitsForAnotherCommand(t *testing.T) {
	t.Parallel()
	y := makeKilledYard(t)
	d := &day{T: t, dir: y.dir}
	d.lookAtBeds()
	before := d.beds
	program, err := exec.LookPath("lapstrake")
	if err != nil {
		t.Fatal(err)
	}
	release, err := project.Lock(y.dir, "intake")
	if err != nil {
		t.Fatal(err)
	}
	said := make(chan string, 100)
	r, err := startRebuilderBy(program, y.dir, func(text string) { said <- text })
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	d.types(project.SheetFile, func(row map[string]string) { row["gain_db"] = "-6" })
	requireSaid(t, said, `^rebuilding: takes\.csv changed$`)
	requireSaid(t, said, `^not rebuilt yet: .*another lapstrake works on this project \(intake`)
	release()
	for limit := time.Now().Add(patience); ; time.Sleep(50 * time.Millisecond) {
		if d.lookAtBeds(); len(changedBeds(before, d.beds)) > 0 {
			return
		}
		if time.Now().After(limit) {
			t.Fatal("nothing is rebuilt")
		}
	}
}

// requireSaid waits for the next thing that is said.
func requireSaid(t *testing.T, said <-chan string, pattern string) {
	t.Helper()
	select {
	case text := <-said:
		if !regexp.MustCompile(pattern).MatchString(text) {
			t.Fatalf("it says %q, want %s", text, pattern)
		}
	case <-time.After(patience):
		t.Fatalf("it says nothing, want %s", pattern)
	}
}

// It says what has changed and what it makes of that; what stands in the way, and that all is well once that is
// mended.
func TestRebuilderSaysWhatItDoes(t *testing.T) {
	t.Parallel()
	y := makeKilledYard(t)
	d := &day{T: t, dir: y.dir}
	program, err := exec.LookPath("lapstrake")
	if err != nil {
		t.Fatal(err)
	}
	said := make(chan string, 100)
	r, err := startRebuilderBy(program, y.dir, func(text string) { said <- text })
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	gain := func(text string) {
		t.Helper()
		d.types(project.SheetFile, func(row map[string]string) { row["gain_db"] = text })
		requireSaid(t, said, `^rebuilding: takes\.csv changed$`)
	}
	gain("-6")
	requireSaid(t, said, `^rebuilt: [0-9]+ beds? made anew, [0-9]+ kept: .*-k[0-9]+\.wav`)
	gain("loud")
	requireSaid(t, said, `^not rebuilt: .*takes\.csv.*gain_db`)
	gain("-6")
	requireSaid(t, said, `^all is well again; rebuilt: no bed had to be made anew$`)
	if _, builds := r.Percent(); builds {
		t.Error("a build seems to be under way when all is done")
	}
}

// Lines come in any pieces; those of progress are no errors.
func TestBuildWordsComeInPieces(t *testing.T) {
	var percents []int
	w := &buildWords{progress: func(percent int) { percents = append(percents, percent) }}
	for _, b := range []byte("progress 3 %\nlapstrake: takes.csv:3: a mistake\nmore of it\nprogress 57 " +
		"%\nlapstrake: another\nprogress 100 %") {
		w.Write([]byte{b})
	}
	if !slices.Equal(percents, []int{3, 57}) {
		t.Errorf("progress %v, want 3 and 57", percents)
	}
	if got, want := w.errors(), "takes.csv:3: a mistake\nanother"; got != want {
		t.Errorf("errors %q, want %q", got, want)
	}
}
