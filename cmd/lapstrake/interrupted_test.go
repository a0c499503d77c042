// Ctrl-C ends work on a project with its own exit code; what is done stays, and the same command goes on from there.

//go:build linux && cgo

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
)

// The beds are many and long, so that much is left to do when the first of them is there.
const longSettings = `[project]
rate_hz = 16000

[grid]
lowest_key = 48
highest_key = 72

[beds]
length_sec = 10
least_takes = 8
`

// longYard is a project whose beds take long to build.
func longYard(t *testing.T, takes int) *day {
	t.Helper()
	d := &day{T: t, dir: t.TempDir()}
	if err := os.WriteFile(filepath.Join(d.dir, project.SettingsFile), []byte(longSettings), 0o666); err != nil {
		t.Fatal(err)
	}
	for n := range takes {
		d.record(fmt.Sprintf("%s/sound-%02d.wav", neighbours[n%2], n), 40+n%40, n)
	}
	return d
}

// isInterrupted sends Ctrl-C to a command as soon as it has got so far, and gives what it said. The command gives way
// to all else, so that on a busy machine the test is the first to run.
func (d *day) isInterrupted(when string, soFar func(*process) bool, words ...string) string {
	d.Helper()
	p := launch(d, nil, "", append([]string{"nice", "-n", "5", "lapstrake"}, words...)...)
	p.waitUntil(when, func() bool { return soFar(p) })
	p.signal(os.Interrupt)
	if code := p.wait(); code != exitInterrupted {
		d.Errorf("%s: exit code %d, want %d\n%s", strings.Join(words, " "), code, exitInterrupted, &p.notices)
	}
	return p.notices.String()
}

// processorSec is how long a program has had a processor in its own code; 0 once it has ended. Source:
// proc_pid_stat(5), field 14, in ticks of 10 ms.
func (p *process) processorSec() float64 {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.command.Process.Pid))
	if err != nil {
		return 0
	}
	fields := strings.Fields(string(stat[bytes.LastIndexByte(stat, ')')+1:])) // from field 3 on
	ticks := 0
	fmt.Sscan(fields[14-3], &ticks)
	return float64(ticks) / 100
}

// noted counts the beds that the record of the build has as they lie there.
func (d *day) noted() (n int) {
	paths, _ := filepath.Glob(filepath.Join(d.dir, project.BedsFolder, "*.wav"))
	for _, path := range paths {
		foreign, err := beds.NotAsBuilt(d.dir, []string{project.BedsFolder + "/" + filepath.Base(path)})
		if err == nil && len(foreign) == 0 {
			n++
		}
	}
	return n
}

// Two runs of intake measure every take once between them.
func TestInterruptedIntake(t *testing.T) {
	t.Parallel()
	const all = 300
	d := longYard(t, all)
	// The lock says that Ctrl-C is listened to; all of the work takes two seconds of processor time and more.
	working := func(p *process) bool {
		locks, _ := filepath.Glob(filepath.Join(d.dir, ".lapstrake-lock"))
		return len(locks) > 0 && p.processorSec() > 0.4
	}
	said := d.isInterrupted("its work", working, "intake", d.dir)
	first := 0
	measured := regexp.MustCompile(`interrupted: \S+takes\.csv keeps the (\d+) takes? measured so far`)
	if found := measured.FindStringSubmatch(said); found != nil {
		fmt.Sscan(found[1], &first)
		if _, rows := d.sheet(project.SheetFile); len(rows) != first {
			t.Errorf("%d rows, want the %d that were measured", len(rows), first)
		}
	} else if !strings.Contains(said, "interrupted: no take was measured yet") {
		t.Errorf("it says %q", said)
	}
	t.Logf("%d takes were measured before Ctrl-C", first)
	var intake intakeSummary
	d.reads(&intake, "intake", d.dir)
	if first+intake.Measured != all || intake.Takes != all {
		t.Errorf("%d measured at first, then %d, of %d; want all %d, each once", first, intake.Measured,
			intake.Takes, all)
	}
}

func TestInterruptedBuild(t *testing.T) {
	t.Parallel()
	d := longYard(t, 24)
	d.does(exitDone, "intake", d.dir)
	said := d.isInterrupted("a first bed", func(*process) bool { return d.noted() > 0 }, "build", d.dir)
	if !strings.Contains(said, "interrupted: the finished beds stay; run `lapstrake build ") {
		t.Errorf("it says %q", said)
	}
	finished := d.noted()
	if result := d.build(); finished == 0 || result.Kept != finished || len(result.Built) == 0 {
		t.Errorf("%d beds were finished; then %d are kept and %d made", finished, result.Kept, len(result.Built))
	}
}

// After Ctrl-C in withdraw the takes are out of the way; the same command makes the beds anew and proves it.
func TestInterruptedWithdraw(t *testing.T) {
	t.Parallel()
	d := longYard(t, 24)
	d.does(exitDone, "build", d.dir)
	leaver := neighbours[0]
	making := func(*process) bool {
		var record struct {
			Making []string `json:"making"`
		}
		data, err := os.ReadFile(filepath.Join(d.dir, project.BedsFolder, project.BuiltFile))
		return err == nil && json.Unmarshal(data, &record) == nil && len(record.Making) > 0
	}
	said := d.isInterrupted("the beds to be made", making, "withdraw", d.dir, leaver)
	if !strings.Contains(said, "run the same command again to go on") {
		t.Errorf("it says %q", said)
	}
	if _, err := os.Stat(filepath.Join(d.dir, project.TakesFolder, leaver)); err == nil {
		t.Errorf("takes/%s is still there", leaver)
	}
	if said := d.does(exitDone, "withdraw", d.dir, leaver); !strings.Contains(said,
		"none holds or names them any more") {
		t.Errorf("the second withdraw says %s", said)
	}
	d.lookAtBeds()
	for _, take := range d.heardTakes() {
		if strings.HasPrefix(take, leaver+"/") {
			t.Errorf("%s is in a bed", take)
		}
	}
}
