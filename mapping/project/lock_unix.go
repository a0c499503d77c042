//go:build unix

package project

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// tryShare is errLocked while another process holds the file; else the file is shared until it is closed.
func tryShare(file *os.File) error {
	err := unix.Flock(int(file.Fd()), unix.LOCK_SH|unix.LOCK_NB)
	if errors.Is(err, unix.EWOULDBLOCK) {
		return errLocked
	}
	return err
}

// tryLock takes the file for this process; the system lets go of it when the process ends, however it ends. A file
// that was removed in between belongs to nobody.
func tryLock(file *os.File) error {
	err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if errors.Is(err, unix.EWOULDBLOCK) {
		return errLocked
	}
	if err != nil {
		return err
	}
	held, err := file.Stat()
	if err != nil {
		return err
	}
	if there, err := os.Stat(file.Name()); err != nil || !os.SameFile(held, there) {
		return errLocked
	}
	return nil
}
