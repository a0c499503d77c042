// Package whole writes files and folders that appear whole or not at all: the bytes go to a hidden temporary
// file or folder beside the target, which Commit renames over the target once they are safely on the disk.
// A program that is interrupted leaves either the old file or the new one, never half of one.
package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

// File is a file being written. It is not safe for concurrent use.
type File struct {
	path   string   // what the caller asked for, as errors name it
	target string   // the file that Commit replaces: path with a symbolic link followed
	temp   *os.File // nil once committed or discarded
}

// Create opens a temporary file in the folder of path. The folder must exist; path itself may
// be missing or a regular file, which stays as it is until Commit. A symbolic link is followed,
// so the link stays and the file it names is replaced.
func Create(path string) (*File, error) {
	target, err := resolve(path)
	if err != nil {
		return nil, err
	}
	temp, err := createTemp(filepath.Dir(target))
	if err != nil {
		return nil, fail(path, "cannot be created", err)
	}
	return &File{path: path, target: target, temp: temp}, nil
}

// resolve follows a symbolic link. It refuses what a rename must not replace.
func resolve(path string) (string, error) {
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return path, nil
	}
	target := path
	if err == nil && info.Mode()&fs.ModeSymlink != 0 {
		if target, err = filepath.EvalSymlinks(path); err == nil {
			info, err = os.Lstat(target)
		}
	}
	if err != nil {
		return "", fail(path, "cannot be created", err)
	}
	if info.IsDir() {
		return "", fmt.Errorf("%s: found a folder, expected the name of a file to write; add a file name", path)
	}
	if !info.Mode().IsRegular() {
		return "", fmt.Errorf("%s: found a device, pipe or socket, expected a regular file; choose another name", path)
	}
	return target, nil
}

// createTemp opens a new file under a name that starts with a dot and ends in .part, so that no
// reader of *.wav, *.csv or *.toml takes it up. os.CreateTemp gives permissions of 0600 whatever the
// umask, but the finished file is to be as readable as any other.
func createTemp(folder string) (*os.File, error) {
	for attempt := 0; ; attempt++ {
		name := partPrefix + strconv.FormatUint(rand.Uint64(), 36) + partSuffix
		file, err := os.OpenFile(filepath.Join(folder, name), os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			hold(file)
		}
		if err == nil || !errors.Is(err, fs.ErrExist) || attempt == 100 {
			return file, err
		}
	}
}

const (
	partPrefix = ".lapstrake-"
	partSuffix = ".part"
)

// Sweep removes the temporary files and folders that killed programs left in folder: those that nobody has written to
// for so long.
func Sweep(folder string, untouched time.Duration) error {
	left, err := filepath.Glob(filepath.Join(folder, partPrefix+"*"+partSuffix))
	if err != nil {
		return err
	}
	for _, path := range left {
		if last := lastWritten(path); !last.IsZero() && time.Since(last) > untouched {
			os.RemoveAll(path)
		}
	}
	return nil
}

// SweepAbandoned removes the temporary files in a folder and all below it that nobody writes any more, since their
// programs were killed, however short a time ago.
func SweepAbandoned(root string) error {
	return filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		part, _ := filepath.Match(partPrefix+"*"+partSuffix, entry.Name())
		if part && entry.Type().IsRegular() && abandoned(path) {
			os.Remove(path)
		}
		return nil
	})
}

// Path returns the target's name as given to Create.
func (f *File) Path() string { return f.path }

// Write appends at the current position. It implements io.Writer.
func (f *File) Write(data []byte) (int, error) {
	if f.temp == nil {
		return 0, f.finished()
	}
	n, err := f.temp.Write(data)
	if err != nil {
		err = fail(f.path, "cannot be written", err)
	}
	return n, err
}

// Seek moves the position of the next Write. It implements io.Seeker.
func (f *File) Seek(offset int64, whence int) (int64, error) {
	if f.temp == nil {
		return 0, f.finished()
	}
	position, err := f.temp.Seek(offset, whence)
	if err != nil {
		err = fail(f.path, "cannot be written", err)
	}
	return position, err
}

// Commit flushes the bytes to the disk and puts the temporary file in the place of the
// target. After an error the target is as it was before and the temporary file is gone.
func (f *File) Commit() error {
	if f.temp == nil {
		return f.finished()
	}
	temp := f.temp
	f.temp = nil
	err := temp.Sync()
	if err != nil {
		temp.Close()
	} else {
		err = place(temp, f.target)
	}
	if err != nil {
		os.Remove(temp.Name())
		return fail(f.path, "cannot be put in place", err)
	}
	return nil
}

// Discard removes the temporary file and leaves the target as it was. It does nothing after
// Commit or another Discard, so it can be deferred right after Create.
func (f *File) Discard() {
	if f.temp == nil {
		return
	}
	name := f.temp.Name()
	f.temp.Close() // before the removal: Windows removes no open file
	f.temp = nil
	os.Remove(name)
}

// Write makes data the whole content of the file at path, or leaves path as it was.
func Write(path string, data []byte) error {
	file, err := Create(path)
	if err != nil {
		return err
	}
	defer file.Discard()
	if _, err := file.Write(data); err != nil {
		return err
	}
	return file.Commit()
}
