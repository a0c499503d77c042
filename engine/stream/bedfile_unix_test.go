//go:build unix

package stream

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A pipe in place of a bed is refused; opening it would wait for ever.
func TestOpenBedRefusesAPipe(t *testing.T) {
	root := project(t, nil)
	if err := syscall.Mkfifo(filepath.Join(root.Name(), "pipe.wav"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenBed(root, "pipe.wav"); err == nil ||
		!strings.Contains(err.Error(), "pipe.wav: not a regular file") {
		t.Errorf("error %v, want it to say that pipe.wav is no regular file", err)
	}
}
