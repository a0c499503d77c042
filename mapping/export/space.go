// Whether an export fits on its disk.

package export

import (
	"fmt"
	"path/filepath"
	"syscall"
)

// spareBytes leaves room for the small files, and for what other programs write meanwhile.
const spareBytes = 16 << 20

// checkSpace compares what is needed with what is free on the disk of out. A system that does not say what is free
// passes.
func checkSpace(out string, neededBytes int64) error {
	free, err := freeBytes(filepath.Dir(filepath.Clean(out)))
	if err != nil || free >= neededBytes+spareBytes {
		return nil
	}
	return &SpaceError{Out: out, NeededBytes: neededBytes + spareBytes, FreeBytes: free}
}

// SpaceError says that an export does not fit on its disk. It wraps syscall.ENOSPC.
type SpaceError struct {
	Out                    string
	NeededBytes, FreeBytes int64
}

// Error ends with what to do: the last of it is to write less.
func (e *SpaceError) Error() string {
	return fmt.Sprintf("%s: needs %d MB, %d MB are free on that disk: %v; "+
		"free some space there, choose another disk, or write less", e.Out, e.NeededBytes/1e6,
		e.FreeBytes/1e6, e.Unwrap())
}

// Unwrap is the system's own error of a full disk.
func (e *SpaceError) Unwrap() error { return syscall.ENOSPC }
