//go:build unix

package live

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine"
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

// await renders blocks until what is held is want.
func (d *device) await(t *testing.T, what string, want held) {
	t.Helper()
	for range 5000 {
		d.block(64, float64(Now()))
		if down(d.applied) == want {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatalf("%s: held is %+v; want %+v", what, down(d.applied), want)
}

func holding(keys ...byte) (h held) {
	for _, key := range keys {
		h.note(engine.NoteOn(0, 0, key, 100))
	}
	return h
}

func TestRawMIDIFromAPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "midi")
	makeFifo(t, path)
	d := newDevice(48000)
	said := make(chan string, 10)
	raw, err := OpenRawMIDI(d.arrivals, path, func(line string) { said <- line })
	if err != nil {
		t.Fatal(err)
	}
	send(t, path, 0x90, 60, 100, 0xF8, 64) // running status, split
	send(t, path, 100, 0xF0, 1, 2, 3)
	send(t, path, 4, 0xF7)
	d.await(t, "two notes", holding(60, 64))
	send(t, path, 0x80, 60, 64)
	d.await(t, "one let go", holding(64))

	// The pipe is taken away, with a key down, and made anew.
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	d.await(t, "the pipe gone", held{})
	makeFifo(t, path)
	for _, want := range []string{"has gone", "is open again"} {
		if line := <-said; !strings.Contains(line, path) || !strings.Contains(line, want) {
			t.Errorf("said %q; want the path and %q", line, want)
		}
	}
	send(t, path, 0x90, 67, 100)
	d.await(t, "a note on the new pipe", holding(67))

	// Close ends a read that waits, and lets go.
	if err := raw.Close(); err != nil {
		t.Fatal(err)
	}
	d.await(t, "closed", held{})
}

func TestRawMIDIClosesWhileThePipeIsGone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "midi")
	makeFifo(t, path)
	said := make(chan string, 10)
	raw, err := OpenRawMIDI(NewArrivals(48000), path, func(line string) { said <- line })
	if err != nil {
		t.Fatal(err)
	}
	os.Remove(path)
	<-said
	raw.Close()
}

func TestRawMIDIRefuses(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "score.mid")
	if err := os.WriteFile(file, []byte("MThd"), 0o600); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		file:                           "lapstrake render plays files",
		folder:                         "is a folder",
		filepath.Join(folder, "midi7"): "mkfifo",
		"/dev/null":                    "cannot be waited for",
	} {
		_, err := OpenRawMIDI(NewArrivals(48000), path, nil)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v; want the path and %q", path, err, want)
		}
	}
}
