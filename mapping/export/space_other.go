//go:build !linux && !darwin && !windows

package export

import "errors"

// freeBytes is not known here.
func freeBytes(string) (int64, error) { return 0, errors.ErrUnsupported }
