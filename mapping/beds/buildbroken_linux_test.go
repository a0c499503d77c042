// Builds that are killed or run out of disk, in a child process.

package beds

import (
	"bufio"
	"errors"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"syscall"
	"testing"
	"time"

	"lapstrake/mapping"
)

const (
	killedVariable   = "LAPSTRAKE_TEST_KILLED_BUILD"
	fullDiskVariable = "LAPSTRAKE_TEST_FULL_DISK_BUILD"
)

// child is this test again in a process of its own, with a variable set to the project's folder.
func child(t *testing.T, variable string, p yard) *exec.Cmd {
	command := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v")
	command.Env = append(os.Environ(), variable+"="+p.dir)
	return command
}

// A build that is killed again and again leaves beds that are whole or absent; the next one goes on from there to the
// bytes of one that was never killed.
func TestKilledBuild(t *testing.T) {
	if dir := os.Getenv(killedVariable); dir != "" {
		_, err := Build(t.Context(), dir, BuildOptions{Progress: func(float64) { os.Stdout.WriteString("bed\n") }})
		t.Fatalf("ended by itself: %v", err)
	}
	p := newProject(t, shortBeds(), aFew...)
	reference := p.copied()
	reference.build()
	want := reference.beds()
	for round := range 3 {
		command := child(t, killedVariable, p)
		out, err := command.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := command.Start(); err != nil {
			t.Fatal(err)
		}
		for lines := bufio.NewScanner(out); lines.Scan() && lines.Text() != "bed"; {
		}
		left := len(p.leftovers())
		for tries := 0; len(p.leftovers()) == left && tries < 5000; tries++ { // until the next one is being written
			time.Sleep(100 * time.Microsecond)
		}
		if err := command.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		command.Wait()
		finished := p.beds()
		t.Logf("killed: %d beds, beside them %v", len(finished), p.leftovers())
		for name, data := range finished {
			if data != want[name] {
				t.Errorf("round %d: %s is not whole: %d of %d bytes", round, name, len(data), len(want[name]))
			}
		}
		if len(finished) == 0 {
			t.Errorf("round %d: no bed was kept", round)
		}
	}
	before := len(p.beds())
	report := p.build()
	if report.Kept+2 < before { // the record may not know of those that were just finished
		t.Errorf("%d beds kept of %d that were whole", report.Kept, before)
	}
	sameBytes(t, "after the kills", p.beds(), want)
	if _, err := mapping.Load(report.MapPath); err != nil {
		t.Error(err)
	}
}

// A disk that is full after the first bed, stood in for by the size that the kernel allows a file: the error names a
// bed and the mend, finished beds stay, no other is there in part, and with room again the build goes on.
func TestBuildOnAFullDisk(t *testing.T) {
	if dir := os.Getenv(fullDiskVariable); dir != "" {
		buildUntilFull(t, dir)
		return
	}
	p := newProject(t, shortBeds(), aFew...)
	reference := p.copied()
	reference.build()
	want := reference.beds()
	if output, err := child(t, fullDiskVariable, p).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, output)
	}
	finished := p.beds()
	if len(finished) == 0 || len(finished) == len(want) {
		t.Errorf("%d of %d beds were finished", len(finished), len(want))
	}
	for name, data := range finished {
		if data != want[name] {
			t.Errorf("%s is not whole", name)
		}
	}
	if names := p.leftovers(); len(names) > 0 {
		t.Errorf("left over: %v", names)
	}
	if _, err := os.Stat(p.path(mapping.FileName)); err == nil {
		t.Error("there is a map for beds that are not there")
	}
	if report := p.build(); report.Kept != len(finished) {
		t.Errorf("%d beds kept, want the %d that were finished", report.Kept, len(finished))
	}
	sameBytes(t, "with room again", p.beds(), want)
}

func buildUntilFull(t *testing.T, dir string) {
	signal.Ignore(syscall.SIGXFSZ) // a write beyond the limit is then an error like a full disk's
	_, err := Build(t.Context(), dir, BuildOptions{Progress: func(float64) {
		const limitBytes = 100_000 // half a bed; the record is smaller
		limit := syscall.Rlimit{Cur: limitBytes, Max: limitBytes}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			t.Error(err)
		}
	}})
	if !errors.Is(err, syscall.EFBIG) {
		t.Fatalf("the disk is full: %v", err)
	}
	for line := range strings.Lines(err.Error()) {
		t.Log(line)
		if !strings.HasPrefix(line, dir) || !strings.Contains(line, ".wav: ") || !strings.Contains(line, "not full") {
			t.Errorf("the disk is full: %s", line)
		}
		if strings.Count(line, ".wav: ") > 1 {
			t.Errorf("the bed is named twice: %s", line)
		}
	}
}
