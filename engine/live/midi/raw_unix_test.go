//go:build unix

package midi

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine/live"
)

func makeFifo(t *testing.T, path string) {
	t.Helper()
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
}

// send is one writer that comes and goes.
func send(t *testing.T, path string, bytes ...byte) {
	t.Helper()
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if _, err := file.Write(bytes); err != nil {
		t.Fatal(err)
	}
}

// await renders blocks until just these keys are held.
func (l *listener) await(t *testing.T, what string, want ...byte) {
	t.Helper()
	for range 5000 {
		l.block(live.Now())
		if slices.Equal(l.held(), want) {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatalf("%s: keys %v are held; want %v", what, l.held(), want)
}

func TestRawFromAPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "midi")
	makeFifo(t, path)
	d := newListener()
	said := make(chan string, 10)
	raw, err := OpenRaw(d.arrivals, path, func(line string) { said <- line })
	if err != nil {
		t.Fatal(err)
	}
	send(t, path, 0x90, 60, 100, 0xF8, 64) // running status, split
	send(t, path, 100, 0xF0, 1, 2, 3)
	send(t, path, 4, 0xF7)
	d.await(t, "two notes", 60, 64)
	send(t, path, 0x80, 60, 64)
	d.await(t, "one let go", 64)

	// The pipe is taken away, with a key down, and made anew.
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	d.await(t, "the pipe gone")
	makeFifo(t, path)
	for _, want := range []string{"has gone", "is open again"} {
		if line := <-said; !strings.Contains(line, path) || !strings.Contains(line, want) {
			t.Errorf("said %q; want the path and %q", line, want)
		}
	}
	send(t, path, 0x90, 67, 100)
	d.await(t, "a note on the new pipe", 67)

	// Close ends a read that waits, and lets go.
	if err := raw.Close(); err != nil {
		t.Fatal(err)
	}
	d.await(t, "closed")
}

func TestRawClosesWhileThePipeIsGone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "midi")
	makeFifo(t, path)
	said := make(chan string, 10)
	raw, err := OpenRaw(live.NewArrivals(48000), path, func(line string) { said <- line })
	if err != nil {
		t.Fatal(err)
	}
	os.Remove(path)
	<-said
	raw.Close()
}

func TestRawRefuses(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "score.mid")
	if err := os.WriteFile(file, []byte("MThd"), 0o600); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		file:                           "is a file",
		folder:                         "is a folder",
		filepath.Join(folder, "midi7"): "mkfifo",
		"/dev/null":                    "cannot be waited for",
	} {
		_, err := OpenRaw(live.NewArrivals(48000), path, nil)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v; want the path and %q", path, err, want)
		}
	}
}
