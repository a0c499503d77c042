// A folder that appears whole or not at all.

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

// Folder is a folder being filled, under a hidden name beside its target. It is not safe for concurrent use; files in
// it may be written by several goroutines.
type Folder struct {
	path   string // what the caller asked for, as errors name it
	target string
	temp   string // the hidden folder; "" once committed or discarded
}

// CreateFolder makes an empty hidden folder beside path, whose own folder must exist.
func CreateFolder(path string) (*Folder, error) {
	target, err := filepath.Abs(path) // so that "." has a name, and a folder beside it
	if err != nil {
		return nil, fail(path, "cannot be created", err)
	}
	if linked, err := filepath.EvalSymlinks(target); err == nil {
		target = linked // the link stays, and what it names is replaced
	}
	for attempt := 0; ; attempt++ {
		temp := filepath.Join(filepath.Dir(target), partPrefix+strconv.FormatUint(rand.Uint64(), 36)+partSuffix)
		err := os.Mkdir(temp, 0o777)
		if err == nil {
			return &Folder{path: path, target: target, temp: temp}, nil
		}
		if !errors.Is(err, fs.ErrExist) || attempt == 100 {
			return nil, fail(path, "cannot be created", err)
		}
	}
}

// Temp is where the folder is until Commit.
func (f *Folder) Temp() string { return f.temp }

// Target is the absolute path that Commit puts it at, links followed.
func (f *Folder) Target() string { return f.target }

// Commit puts the folder in place of its target. Files that this package wrote are on the disk already; Commit brings
// the names of the folders' files there first. It replaces a target that is there only if replace says so, in one step
// where the system can. After an error the target is as it was and the hidden folder is gone.
func (f *Folder) Commit(replace bool) error {
	if f.temp == "" {
		return fmt.Errorf("%s: already committed or discarded: %w; create it again", f.path, os.ErrClosed)
	}
	defer f.Discard()
	if err := syncFolders(f.temp); err != nil {
		return fail(f.path, "cannot be put in place", err)
	}
	_, err := os.Lstat(f.target)
	switch {
	case err == nil && replace:
		err = exchange(f.temp, f.target) // what was there is discarded now
	case err == nil:
		return fmt.Errorf("%s: is there by now (%w); choose another name, or move it away", f.path, fs.ErrExist)
	default:
		if err = os.Rename(f.temp, f.target); err == nil {
			f.temp = ""
		}
	}
	if err != nil {
		return fail(f.path, "cannot be put in place", err)
	}
	syncFolder(filepath.Dir(f.target)) // an error changes nothing: the folder is in place
	return nil
}

// Discard removes the hidden folder. It does nothing after Commit, so it can be deferred.
func (f *Folder) Discard() {
	if f.temp != "" {
		os.RemoveAll(f.temp)
		f.temp = ""
	}
}

// syncFolders returns when the names of all files below root are on the disk.
func syncFolders(root string) error {
	return filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && entry.IsDir() {
			err = syncFolder(path)
		}
		return err
	})
}

// lastWritten says when a file, or the newest file in a folder, was written to.
func lastWritten(path string) (last time.Time) {
	filepath.WalkDir(path, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return nil // somebody is removing it
		}
		if info, err := entry.Info(); err == nil && info.ModTime().After(last) {
			last = info.ModTime()
		}
		return nil
	})
	return last
}
