// Free space on a disk, where no way is known to ask for it.

//go:build !linux && !darwin && !windows

package export

import "errors"

// freeBytes always fails.
func freeBytes(string) (int64, error) { return 0, errors.ErrUnsupported }
