// A bed as a file of the project, open.

package stream

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"lapstrake/mapping/wav"
)

// BedFile is a WAV file of a project, open as a bed.
type BedFile struct {
	*wav.File
	opened *os.File
	info   os.FileInfo // as it was opened
	held   []byte      // the whole file, where it is in memory
}

// OpenBed opens a bed by its path inside a project folder and checks that a
// player can use it. A path or link that leads out of the project is refused.
func OpenBed(root *os.Root, path string) (*BedFile, error) {
	name := filepath.FromSlash(path)
	info, err := root.Stat(name) // before opening: opening a pipe would wait for its writer
	if err != nil {
		return nil, bedOpenError(path, err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: not a regular file: expected a WAV file; put the bed there", path)
	}
	opened, err := root.Open(name)
	if err != nil {
		return nil, bedOpenError(path, err)
	}
	if info, err = opened.Stat(); err != nil { // of the very file, should another one have taken its name
		opened.Close()
		return nil, bedOpenError(path, err)
	}
	file, err := readBed(opened, info.Size(), path)
	if err != nil {
		opened.Close()
		return nil, err
	}
	return &BedFile{File: file, opened: opened, info: info}, nil
}

func readBed(opened io.ReaderAt, sizeBytes int64, path string) (*wav.File, error) {
	file, err := wav.NewFile(opened, sizeBytes, path)
	if err != nil {
		return nil, err
	}
	if file.Info.Channels > 2 {
		return nil, fmt.Errorf("%s: %d channels: expected a mono or stereo bed; mix it down", path, file.Info.Channels)
	}
	return file, nil
}

func bedOpenError(path string, err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("%s: missing: put the bed there, or make the map anew", path)
	}
	var failed *os.PathError
	if errors.As(err, &failed) {
		return fmt.Errorf("%s: cannot be opened inside the project: %w; a bed must be a file of the project, not a "+
			"link out of it", path, failed.Err)
	}
	return fmt.Errorf("%s: %w", path, err)
}

// ReadStereo reads as wav.File does. A file that was written over since it was opened gives an error and no frames:
// what was read before would not go with them.
func (f *BedFile) ReadStereo(dst []float32, posFrames int64) error {
	err := f.File.ReadStereo(dst, posFrames)
	if f.held == nil && f.opened != nil && !f.unchanged() {
		return fmt.Errorf("%s: was changed on disk since it was opened; it is read again when the map is loaded anew",
			f.Path)
	}
	return err
}

// hold reads the whole file into memory, from where it is read from then on. Nothing may be reading it.
func (f *BedFile) hold() error {
	data := make([]byte, f.info.Size())
	if _, err := f.opened.ReadAt(data, 0); err != nil || !f.unchanged() {
		return fmt.Errorf("%s: was changed on disk while it was opened: load the map again", f.Path)
	}
	file, err := readBed(bytes.NewReader(data), f.info.Size(), f.Path)
	if err != nil {
		return err
	}
	lockMemory(data)
	f.File, f.held = file, data
	return nil
}

// leadsElsewhere says whether there is another file at the bed's path in dir than was opened, or another content.
func (f *BedFile) leadsElsewhere(dir string) bool {
	there, err := os.Stat(filepath.Join(dir, filepath.FromSlash(f.Path)))
	return err != nil || !os.SameFile(there, f.info) || there.Size() != f.info.Size() ||
		!there.ModTime().Equal(f.info.ModTime())
}

// Name returns the bed's path inside the project.
func (f *BedFile) Name() string { return f.Path }

// Frames returns the bed's length.
func (f *BedFile) Frames() int64 { return f.Info.Frames }

// RateHz returns the bed's frames a second.
func (f *BedFile) RateHz() int { return f.Info.RateHz }

// Mono says whether the bed has one channel.
func (f *BedFile) Mono() bool { return f.Info.Channels == 1 }

// Close closes the bed. Nothing may be reading it.
func (f *BedFile) Close() error {
	unlockMemory(f.held)
	return f.opened.Close()
}
