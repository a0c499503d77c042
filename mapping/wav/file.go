// An open WAVE file, ready to be read from any frame.

package wav

import (
	"errors"
	"fmt"
	"io"
	"os"
)

// File is a WAVE file open for reading. Several goroutines at once may read from it.
type File struct {
	Info Info
	Path string // as given; names the file in errors

	r      io.ReaderAt
	closer io.Closer // nil for memory
}

// Open opens the regular file at path, read-only. Errors are those of ReadInfo, and the system's.
func Open(path string) (*File, error) {
	status, err := os.Stat(path) // before opening: opening a pipe would wait for its writer
	if err != nil {
		return nil, fmt.Errorf("%w; check the name, or put the file back", err)
	}
	if !status.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: found a folder, device or pipe, expected a WAVE file; name a file", path)
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%w; make the file readable", err)
	}
	f, err := NewFile(file, status.Size(), path)
	if err != nil {
		file.Close()
		return nil, err
	}
	f.closer = file
	return f, nil
}

// NewFile reads a WAVE file of sizeBytes bytes from r, such as one in memory; name is used in
// errors, which are those of ReadInfo. Beside a *TruncatedError stands a File of what is there.
// Closing it does not close r.
func NewFile(r io.ReaderAt, sizeBytes int64, name string) (*File, error) {
	info, err := ReadInfo(r, sizeBytes, name)
	var truncated *TruncatedError
	if err != nil && !errors.As(err, &truncated) {
		return nil, err
	}
	return &File{Info: info, Path: name, r: r}, err
}

// Close releases the file. No reading may be going on or follow.
func (f *File) Close() error {
	if f.closer == nil {
		return nil
	}
	return f.closer.Close()
}
