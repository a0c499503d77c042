// An open WAVE file, ready to be read from any frame.

package wav

import (
	"fmt"
	"io"
	"os"
)

// File is a WAVE file open for reading. ReadStereo may be called by several goroutines at once.
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
// errors. Closing it does not close r.
func NewFile(r io.ReaderAt, sizeBytes int64, name string) (*File, error) {
	info, err := ReadInfo(r, sizeBytes, name)
	if err != nil {
		return nil, err
	}
	return &File{Info: info, Path: name, r: r}, nil
}

// Close releases the file. No ReadStereo may be running or follow.
func (f *File) Close() error {
	if f.closer == nil {
		return nil
	}
	return f.closer.Close()
}
