//go:build unix

package stream

import "golang.org/x/sys/unix"

// unchanged says whether the open file still has the size and the time that it was opened with. No allocation.
func (f *BedFile) unchanged() bool {
	var now unix.Stat_t
	if unix.Fstat(int(f.opened.Fd()), &now) != nil {
		return false
	}
	return now.Size == f.info.Size() && now.Mtim.Nano() == f.info.ModTime().UnixNano()
}
