// Folders on Linux: an exchange in one step, and names that reach the disk.

package whole

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// exchange makes two folders change places, in one step where the file system can.
func exchange(one, other string) error {
	err := unix.Renameat2(unix.AT_FDCWD, one, unix.AT_FDCWD, other, unix.RENAME_EXCHANGE)
	if errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOSYS) {
		return exchangeInSteps(one, other)
	}
	return err
}

// syncFolder returns when the names of a folder's files are on the disk.
func syncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	defer folder.Close()
	if err := folder.Sync(); !errors.Is(err, unix.EINVAL) { // a file system that needs none
		return err
	}
	return nil
}
