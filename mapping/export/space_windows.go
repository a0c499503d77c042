// Free space on a disk, as Windows says it.

package export

import "golang.org/x/sys/windows"

// freeBytes is what this user may still write on the disk of a folder.
func freeBytes(folder string) (int64, error) {
	name, err := windows.UTF16PtrFromString(folder)
	if err != nil {
		return 0, err
	}
	var free uint64
	err = windows.GetDiskFreeSpaceEx(name, &free, nil, nil)
	return int64(free), err
}
