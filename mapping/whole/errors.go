// What went wrong with a file, in words that name the target and the mend.

package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
)

// fail wraps err so that the message names the target, not the temporary file the system saw.
func fail(path, what string, err error) error {
	return fmt.Errorf("%s: %s: %w; %s", path, what, cause(err), mend(err))
}

// finished is the error of a call after Commit or Discard.
func (f *File) finished() error {
	return fmt.Errorf("%s: already committed or discarded: %w; create it again to write it anew", f.path, os.ErrClosed)
}

// cause strips the wrapper that carries the temporary file's name.
func cause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}

// mend says what to do about err.
func mend(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "make its folder first, or correct the path"
	case errors.Is(err, fs.ErrPermission):
		return "make the folder writable, and close any program that holds the file open"
	case errors.Is(err, syscall.ENOSPC):
		return "free some space on that disk"
	case errors.Is(err, syscall.ENOTDIR):
		return "correct the path: a part of it is a file, not a folder"
	}
	return "check that the disk is there, writable and not full"
}
