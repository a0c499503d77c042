package project

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// tryLock takes the file for this process; the system lets go of it when the process ends, however it ends. The lock
// lies far behind the text, which others may read.
func tryLock(file *os.File) error { return lockFar(file, windows.LOCKFILE_EXCLUSIVE_LOCK) }

// tryShare is errLocked while another process holds the file; else the file is shared until it is closed.
func tryShare(file *os.File) error { return lockFar(file, 0) }

func lockFar(file *os.File, how uint32) error {
	far := &windows.Overlapped{OffsetHigh: 1}
	err := windows.LockFileEx(windows.Handle(file.Fd()), how|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, far)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return errLocked
	}
	return err
}
