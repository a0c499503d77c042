// A disk that fills up under a recording, stood in for by the size that the kernel allows a file of a child.

package wav

import (
	"errors"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

const (
	fullDiskVariable = "LAPSTRAKE_TEST_FULL_DISK"
	fullDiskBytes    = 600_001 // no whole number of frames
)

// A full disk ends the recording with an error that says so, and every whole frame that reached the disk
// is in the file.
func TestRecordingOnAFullDisk(t *testing.T) {
	if path := os.Getenv(fullDiskVariable); path != "" {
		recordUntilFull(t, path)
		return
	}
	path := filepath.Join(t.TempDir(), "out.wav")
	child := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v")
	child.Env = append(os.Environ(), fullDiskVariable+"="+path)
	if output, err := child.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, output)
	}
	out, info := readAll(t, path)
	if want := int64(fullDiskBytes-headerBytes) / 6; info.Frames != want {
		t.Fatalf("%d frames, want the %d that the disk took", info.Frames, want)
	}
	_, whole := write(t, 2, PCM24, ramp(0, len(out)))
	data, err := os.ReadFile(path)
	if err != nil || string(data[:len(whole)]) != string(whole) {
		t.Errorf("the frames are not those recorded, %v", err)
	}
}

func recordUntilFull(t *testing.T, path string) {
	signal.Ignore(syscall.SIGXFSZ) // a write beyond the limit is then an error like a full disk's
	r, err := Record(path, 48000, 2, PCM24)
	if err != nil {
		t.Fatal(err)
	}
	limit := syscall.Rlimit{Cur: fullDiskBytes, Max: fullDiskBytes}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		t.Fatal(err)
	}
	const blockFrames = 1000
	for at := 0; err == nil && at < fullDiskBytes; at += blockFrames {
		err = r.WriteFrames(ramp(2*at, 2*blockFrames))
	}
	if !errors.Is(err, syscall.EFBIG) || !strings.HasPrefix(err.Error(), path+": ") ||
		!strings.Contains(err.Error(), "free some space") {
		t.Errorf("the disk is full: %v", err)
	}
	if again := r.WriteFrames(ramp(0, 2)); again != err {
		t.Errorf("a write after that: %v, want the same error", again)
	}
	if closed := r.Close(); closed != err {
		t.Errorf("Close: %v, want the first error", closed)
	}
}
