//go:build unix

// Quiet: what C libraries print goes nowhere, what this program says still reaches the user.

package live

import (
	"fmt"
	"os"
	"runtime/debug"

	"golang.org/x/sys/unix"
)

// Quiet points file descriptor 2 at /dev/null, since ALSA, JACK and others print on it whatever they meet. The
// file that it returns is the real standard error, for our own messages; os.Stderr becomes the same, and a
// Go panic is still shown there. restore undoes it all; the file is closed then. One at a time; control goroutine.
func Quiet() (stderr *os.File, restore func(), err error) {
	fail := func(err error) (*os.File, func(), error) {
		return os.Stderr, func() {}, fmt.Errorf("standard error cannot be kept quiet: %w", err)
	}
	kept, err := unix.FcntlInt(2, unix.F_DUPFD_CLOEXEC, 3)
	if err != nil {
		return fail(err)
	}
	null, err := unix.Open(os.DevNull, unix.O_WRONLY|unix.O_CLOEXEC, 0)
	if err != nil {
		unix.Close(kept)
		return fail(err)
	}
	defer unix.Close(null)
	if err := unix.Dup2(null, 2); err != nil {
		unix.Close(kept)
		return fail(err)
	}
	before := os.Stderr
	stderr = os.NewFile(uintptr(kept), before.Name())
	os.Stderr = stderr
	// It fails only where the file cannot be duplicated; then a panic is not shown, and nothing else is lost.
	debug.SetCrashOutput(stderr, debug.CrashOptions{})
	return stderr, func() {
		debug.SetCrashOutput(nil, debug.CrashOptions{})
		unix.Dup2(kept, 2)
		os.Stderr = before
		stderr.Close()
	}, nil
}
