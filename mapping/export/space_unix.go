// Free space on a disk, as Linux and macOS say it.

//go:build linux || darwin

package export

import "golang.org/x/sys/unix"

// freeBytes is what this user may still write on the disk of a folder.
func freeBytes(folder string) (int64, error) {
	var disk unix.Statfs_t
	if err := unix.Statfs(folder, &disk); err != nil {
		return 0, err
	}
	return int64(disk.Bavail) * int64(disk.Bsize), nil
}
