// Whether an export fits on its disk.

package export

import (
	"fmt"
	"path/filepath"
	"syscall"
)

// spareBytes is for the small files, and for what others write meanwhile.
const spareBytes = 16 << 20

// checkSpace compares what is needed with what is free where out will be; a system that does not tell is not asked
// further.
func checkSpace(out string, neededBytes int64) error {
	free, err := freeBytes(filepath.Dir(filepath.Clean(out)))
	if err != nil || free >= neededBytes+spareBytes {
		return nil
	}
	return fmt.Errorf("%s: needs %d MB, %d MB are free on that disk: %w; free some space there, choose another disk, or write less (--parts, --starts first, --format 16, --budget)",
		out, (neededBytes+spareBytes)/1e6, free/1e6, syscall.ENOSPC)
}
