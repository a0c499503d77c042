// Work on a project that is killed at any moment, and disks that fill up: takes, sheet, settings and map stay whole,
// and the same command completes afterwards.

//go:build linux && cgo

package main

import (
	"encoding/binary"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
)

const killsVariable = "LAPSTRAKE_KILLS" // how many kills, and a tenth as many full disks, instead of a few

const killedSettings = `[project]
rate_hz = 16000

[grid]
ranks = 1
lowest_key = 55
highest_key = 60

[beds]
length_sec = 1
overlap_sec = 0.1
least_takes = 2
`

// killedYard is a built project that is copied for every kill.
type killedYard struct {
	dir    string
	hashes map[string]string // of the takes, by path
	state  string            // number of the state with all that the builder wrote
}

func makeKilledYard(t *testing.T) *killedYard {
	t.Helper()
	y := &killedYard{dir: filepath.Join(t.TempDir(), "yard"), hashes: map[string]string{}}
	for n := range 6 {
		tone := testsound.SineWave(16000, testsound.KeyHz(55+n), -12, 0.5)
		for i := range tone {
			tone[i] *= float32(math.Exp(-float64(n%2*i) / 4000))
		}
		path := []string{"fen", "hob"}[n%2] + fmt.Sprintf("/sound-%d.wav", n)
		file := filepath.Join(y.dir, project.TakesFolder, path)
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, testsound.WavBytes(3, 1, 16000, 32, testsound.Joined(binary.LittleEndian, tone)),
			0o666); err != nil {
			t.Fatal(err)
		}
		y.hashes[path], _ = decode.Hash(file)
	}
	if err := os.WriteFile(filepath.Join(y.dir, project.SettingsFile), []byte(killedSettings), 0o666); err != nil {
		t.Fatal(err)
	}
	d := &day{T: t, dir: y.dir}
	d.does(exitDone, "intake", y.dir)
	d.types(project.SheetFile, func(row map[string]string) { row["remarks"] = "heard " + row["take"] })
	d.does(exitDone, "build", y.dir)
	states, err := project.States(y.dir)
	if err != nil || len(states) == 0 {
		t.Fatalf("%d states, %v", len(states), err)
	}
	y.state = strconv.Itoa(states[0].Number)
	return y
}

// copyTo makes a copy in which something is to be done.
func (y *killedYard) copyTo(t *testing.T, dir string) *day {
	t.Helper()
	if err := os.CopyFS(dir, os.DirFS(y.dir)); err != nil {
		t.Fatal(err)
	}
	return &day{T: t, dir: dir}
}

// killedWork are the commands, and what is done before each so that it has something to do.
var killedWork = []struct {
	name    string
	prepare func(d *day)
	words   func(y *killedYard, dir string) []string
}{
	{"intake", func(d *day) { d.record("hob/another.wav", 57, 7) },
		func(_ *killedYard, dir string) []string { return []string{"intake", dir} }},
	{"build", func(d *day) {
		d.types(project.SheetFile, func(row map[string]string) { row["gain_db"] = "-3" })
	}, func(_ *killedYard, dir string) []string { return []string{"build", dir} }},
	{"withdraw", func(*day) {}, func(_ *killedYard, dir string) []string { return []string{"withdraw", dir, "fen"} }},
	{"withdraw --undo", func(d *day) { d.does(exitDone, "withdraw", d.dir, "fen") },
		func(_ *killedYard, dir string) []string { return []string{"withdraw", dir, "fen", "--undo"} }},
	{"back", func(d *day) {
		d.types(project.SheetFile, func(row map[string]string) { row["gain_db"] = "-3" })
	}, func(y *killedYard, dir string) []string { return []string{"back", dir, y.state} }},
}

// wrong says what is lost or broken in a copy; "" if nothing is.
func (y *killedYard) wrong(dir string) string {
	found := map[string]int{} // files by hash
	for _, folder := range []string{project.TakesFolder, project.WithdrawnFolder} {
		filepath.WalkDir(filepath.Join(dir, folder), func(path string, entry fs.DirEntry, err error) error {
			if err == nil && filepath.Ext(path) == ".wav" {
				hash, _ := decode.Hash(path)
				found[hash]++
			}
			return nil
		})
	}
	remarks := map[string]string{}
	sheets, _ := filepath.Glob(filepath.Join(dir, project.WithdrawnFolder, "*", project.SheetFile))
	for _, path := range append(sheets, filepath.Join(dir, project.SheetFile)) {
		sheet, err := takes.ReadSheet(path, takes.SheetOptions{})
		if err != nil {
			return err.Error()
		}
		for _, row := range sheet.Rows {
			if row.Remarks != "" {
				remarks[row.Path] = row.Remarks
			}
		}
	}
	for path, hash := range y.hashes {
		if found[hash] != 1 {
			return fmt.Sprintf("%s is there %d times", path, found[hash])
		}
		if remarks[path] != "heard "+path {
			return fmt.Sprintf("%s: the builder's remark is lost: %q", path, remarks[path])
		}
	}
	if _, err := project.Load(dir); err != nil {
		return err.Error()
	}
	if _, err := mapping.Load(filepath.Join(dir, mapping.FileName)); err != nil {
		return err.Error()
	}
	if states, err := project.States(dir); err != nil || len(states) > 11 {
		return fmt.Sprintf("%d states, %v", len(states), err)
	}
	return ""
}

func kills(few int) int {
	if n, err := strconv.Atoi(os.Getenv(killsVariable)); err == nil {
		return n
	}
	if testing.Short() {
		return few / 4
	}
	return few
}

// Work is killed at moments spread over all that it takes. What is there is whole, and the same command completes.
func TestKilledWork(t *testing.T) {
	t.Parallel()
	y, root := makeKilledYard(t), t.TempDir()
	for _, work := range killedWork {
		t.Run(work.name, func(t *testing.T) {
			seeded := rand.New(rand.NewPCG(1, uint64(len(work.name))))
			whole := time.Duration(0)
			n, killed, i := kills(40)/len(killedWork), 0, 0
			for ; killed < n; i++ {
				dir := filepath.Join(root, fmt.Sprintf("%s-%d", strings.ReplaceAll(work.name, " ", ""), i))
				work.prepare(y.copyTo(t, dir))
				words := append([]string{"lapstrake"}, work.words(y, dir)...)
				began := time.Now()
				p := launch(t, nil, "", words...)
				if i > 0 { // the first shows how long all of it takes
					time.Sleep(time.Duration(seeded.Float64() * 1.1 * float64(whole)))
					p.command.Process.Signal(syscall.SIGKILL) // fails where it has ended
				}
				<-p.ended
				switch status := p.command.ProcessState; {
				case status.Exited() && status.ExitCode() != exitDone:
					t.Fatalf("run %d: exit code %d: %s", i, status.ExitCode(), &p.notices)
				case i == 0:
					whole = time.Since(began)
				case status.Exited(): // the machine is less busy now: the next ones come sooner
					whole = whole * 9 / 10
				default:
					killed++
					whole = whole * 51 / 50
				}
				if wrong := y.wrong(dir); wrong != "" {
					t.Errorf("kill %d: %s", i, wrong)
				}
				y.completes(t, fmt.Sprintf("kill %d", i), words, dir)
				os.RemoveAll(dir)
			}
			t.Logf("%d killed; %d more had ended before", killed, i-1-killed)
		})
	}
}

// completes runs the same command again. A withdrawal that was done already has nothing to do any more.
func (y *killedYard) completes(t *testing.T, when string, words []string, dir string) {
	t.Helper()
	p := launch(t, nil, "", words...)
	code := p.wait()
	done := code == exitWords && words[1] == "withdraw" &&
		(strings.Contains(p.notices.String(), "no contributor and no take") ||
			strings.Contains(p.notices.String(), "there are no takes here"))
	if code != exitDone && !done {
		t.Errorf("%s: the same command ends with %d afterwards: %s", when, code, &p.notices)
	}
	if wrong := y.wrong(dir); wrong != "" {
		t.Errorf("%s, after the same command: %s", when, wrong)
	}
}

// A disk fills up at some file, stood in for by the size that the kernel allows one: the command says so, what is
// there is whole, and with room it completes.
func TestWorkOnFullDisks(t *testing.T) {
	t.Parallel()
	y, root := makeKilledYard(t), t.TempDir()
	n := max(kills(80)/10, len(killedWork))
	failed := 0
	for i := range n {
		work := killedWork[i%len(killedWork)]
		dir := filepath.Join(root, strconv.Itoa(i))
		work.prepare(y.copyTo(t, dir))
		blocks := 1 << (i / len(killedWork) % 7) // of 512 bytes: from half a kilobyte to the size of a sheet or bed
		words := append([]string{"lapstrake"}, work.words(y, dir)...)
		limited := append([]string{"sh", "-c", fmt.Sprintf(`ulimit -f %d; exec "$@"`, blocks), "sh"}, words...)
		p := launch(t, nil, "", limited...)
		if code := p.wait(); code != exitDone {
			failed++
			if !strings.Contains(p.notices.String(), "file too large") {
				t.Errorf("%s within %d bytes ends with %d and says %s", work.name, 512*blocks, code, &p.notices)
			}
		}
		if wrong := y.wrong(dir); wrong != "" {
			t.Errorf("%s within %d bytes: %s", work.name, 512*blocks, wrong)
		}
		y.completes(t, fmt.Sprintf("%s within %d bytes", work.name, 512*blocks), words, dir)
		os.RemoveAll(dir)
	}
	if failed == 0 {
		t.Error("no disk was full")
	}
	t.Logf("%d of %d commands met a full disk", failed, n)
}
