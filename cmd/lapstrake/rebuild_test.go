//go:build linux && cgo

package main

import (
	"os/exec"
	"strings"
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
	select {
	case text := <-said:
		if !strings.Contains(text, "not rebuilt yet: ") || !strings.Contains(text, "another lapstrake works on this project (intake") {
			t.Errorf("it says %q", text)
		}
	case <-time.After(patience):
		t.Fatal("it says nothing")
	}
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
