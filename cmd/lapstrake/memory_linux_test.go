// What the intake of a long take costs in memory.

package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lapstrake/mapping/project"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/wav"
)

// A take of 29 minutes of 48 kHz stereo is 668 MB of samples. Its intake stays under 300 MB. The file is silence but
// for a note: it costs no disk.
func TestIntakeOfALongTakeStaysSmall(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "yard")
	path := filepath.Join(dir, project.TakesFolder, "hob", "long.wav")
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	writeSparseWAV(t, path, 29*60*48000)
	var said bytes.Buffer
	command := exec.Command("lapstrake", "intake", dir)
	command.Stdout, command.Stderr = &said, &said
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- command.Wait() }()
	const mostKB = 300_000
	for peakKB := 0; ; peakKB = max(peakKB, mostResidentKB(command.Process.Pid)) {
		select {
		case err := <-ended:
			if err != nil || peakKB == 0 || peakKB > mostKB {
				t.Errorf("%v, at most %d kB resident, want at most %d: %s", err, peakKB, mostKB, &said)
			}
			return
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// mostResidentKB is the most that a running process has had in memory yet (proc(5): VmHWM), 0 when it has gone. What
// wait4 tells counts the process that it was forked from.
func mostResidentKB(pid int) (kB int) {
	status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if _, after, found := strings.Cut(string(status), "VmHWM:"); found {
		fmt.Sscan(after, &kB)
	}
	return kB
}

// writeSparseWAV writes 16-bit stereo at 48 kHz in which a note of 2 s sounds from the third second on.
func writeSparseWAV(t *testing.T, path string, frames int) {
	t.Helper()
	header := testsound.WavBytes(1, 2, 48000, 16, nil)
	binary.LittleEndian.PutUint32(header[4:], uint32(len(header)-8+4*frames))
	binary.LittleEndian.PutUint32(header[40:], uint32(4*frames))
	file, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	note := testsound.Sine16(2, 48000, 2*48000)
	if _, err := file.WriteAt(header, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := file.WriteAt(note, int64(len(header)+3*48000*4)); err != nil {
		t.Fatal(err)
	}
	if err := file.Truncate(int64(len(header) + 4*frames)); err != nil {
		t.Fatal(err)
	}
	if read, err := wav.Open(path); err != nil || read.Info.Frames != int64(frames) {
		t.Fatalf("%v", err)
	} else {
		read.Close()
	}
}
