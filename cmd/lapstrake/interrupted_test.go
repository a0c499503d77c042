// Ctrl-C while a project is worked on: the exit code says so, what was done is kept, and the next run goes on from there.

//go:build linux && cgo

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// interruptAt starts a command and interrupts it after a part of the time that all of it takes.
func interruptAt(t *testing.T, part float64, whole time.Duration, words ...string) (p *process, code int) {
	t.Helper()
	p = launch(t, nil, "", words...)
	time.Sleep(time.Duration(part * float64(whole)))
	p.command.Process.Signal(os.Interrupt) // fails where it has ended
	return p, p.wait()
}

// parts are moments of the work, the likeliest first.
var parts = []float64{0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.55, 0.45, 0.65}

// An intake that is interrupted keeps the takes measured so far, and the next one measures the rest alone.
func TestInterruptedIntake(t *testing.T) {
	t.Parallel()
	const all = 60
	d := &day{T: t, dir: filepath.Join(t.TempDir(), "yard")}
	for n := range all {
		d.record(fmt.Sprintf("fen/sound-%02d.wav", n), 45+n%30, n)
	}
	full := filepath.Join(t.TempDir(), "full")
	if err := os.CopyFS(full, os.DirFS(d.dir)); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	if code := launch(t, nil, "", "lapstrake", "intake", full).wait(); code != exitDone {
		t.Fatalf("exit code %d", code)
	}
	whole := time.Since(began)
	keeps := regexp.MustCompile(`keeps the ([0-9]+) takes? measured so far`)
	for _, part := range parts {
		p, code := interruptAt(t, part, whole, "lapstrake", "intake", d.dir)
		kept := keeps.FindStringSubmatch(p.notices.String())
		if kept == nil {
			os.Remove(filepath.Join(d.dir, project.SheetFile)) // too early or too late: once more
			continue
		}
		if code != exitInterrupted {
			t.Errorf("exit code %d, want %d: %s", code, exitInterrupted, &p.notices)
		}
		n, _ := strconv.Atoi(kept[1])
		sheet, err := takes.ReadSheet(filepath.Join(d.dir, project.SheetFile), takes.SheetOptions{})
		if err != nil || len(sheet.Rows) != n || n < 1 || n >= all {
			t.Errorf("it keeps %d takes, the sheet has %d rows: %v", n, len(sheet.Rows), err)
		}
		var rest intakeSummary
		d.reads(&rest, "intake", d.dir)
		if rest.Measured != all-n || rest.Takes != all {
			t.Errorf("the next intake measures %d of %d, want the %d that were left", rest.Measured, rest.Takes, all-n)
		}
		return
	}
	t.Error("no intake was interrupted while it measured")
}

// Builds and withdrawals that are interrupted say so, lose nothing, and complete when they are run again.
func TestInterruptedWork(t *testing.T) {
	t.Parallel()
	y, root := makeKilledYard(t), t.TempDir()
	for _, work := range killedWork {
		if work.name != "build" && work.name != "withdraw" {
			continue
		}
		interrupted, whole := 0, time.Duration(0)
		for i, part := range append([]float64{2}, parts...) { // the first is not interrupted
			dir := filepath.Join(root, work.name+strconv.Itoa(i))
			work.prepare(y.copyTo(t, dir))
			words := append([]string{"lapstrake"}, work.words(y, dir)...)
			if i == 0 {
				began := time.Now()
				launch(t, nil, "", words...).wait()
				whole = time.Since(began)
				continue
			}
			p, code := interruptAt(t, part, whole, words...)
			if code == exitInterrupted {
				interrupted++
			} else if code != exitDone && !p.command.ProcessState.Success() && p.command.ProcessState.Exited() {
				t.Errorf("%s, interrupted: exit code %d: %s", work.name, code, &p.notices)
			}
			if wrong := y.wrong(dir); wrong != "" {
				t.Errorf("%s, interrupted: %s", work.name, wrong)
			}
			y.completes(t, work.name+", interrupted", words, dir)
		}
		if interrupted == 0 {
			t.Errorf("no %s was interrupted", work.name)
		}
	}
}
