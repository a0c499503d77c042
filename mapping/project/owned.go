// What in a project nothing may be written over: takes, beds, sheet, settings, map, ledger.

package project

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lapstrake/mapping"
)

// OwnedError says that a file to be written is, or would be, one of a project's own.
type OwnedError struct {
	Path string
	What string // such as "a take"
	Of   string // the file or folder of the project that it is or lies in
}

func (e *OwnedError) Error() string {
	return fmt.Sprintf("%s: is %s (%s), which no other command writes over, with --force neither: choose another name",
		e.Path, e.What, e.Of)
}

// ownFiles are the files of a project that only its own commands write.
var ownFiles = []struct{ name, what string }{
	{SheetFile, "the take sheet"}, {ContributorsFile, "the sheet of contributors"}, {SettingsFile, "the settings"},
	{mapping.FileName, "the map"}, {HeardFile, "the ledger"}, {WaivedFile, "the sheet of waived findings"},
	{MarksFile, "the sheet of marks"},
}

// ownFolders are the folders in which only its own commands, or a person, put something.
var ownFolders = []struct{ name, what string }{
	{TakesFolder, "a take"}, {BedsFolder, "a bed"}, {statesFolder, "an earlier state"}, {MarksFolder, "a mark"},
}

// CheckOutput refuses, with an *OwnedError, a file to be written that is one of a project's own: one that lies where
// some project keeps them, there already or not, or one that is, by another name or link, a file of the project in
// dir.
func CheckOutput(path, dir string) error {
	resolved, err := resolve(path)
	if err != nil {
		return nil // its folder is not there: nothing is written over
	}
	for folder := filepath.Dir(resolved); ; folder = filepath.Dir(folder) {
		if what := owns(folder, resolved); what != "" && isProject(folder) {
			return &OwnedError{path, what, resolved}
		}
		if folder == filepath.Dir(folder) {
			break
		}
	}
	target, err := os.Stat(resolved)
	if err != nil {
		return nil
	}
	for _, own := range ownFiles {
		place := filepath.Join(dir, own.name)
		if info, err := os.Stat(place); err == nil && os.SameFile(info, target) {
			return &OwnedError{path, own.what, place}
		}
	}
	for _, own := range ownFolders {
		if place := sameFileIn(filepath.Join(dir, own.name), target); place != "" {
			return &OwnedError{path, own.what, place}
		}
	}
	return nil
}

// resolve gives the absolute path with links followed; the last name may be missing.
func resolve(path string) (string, error) {
	absolute, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	if real, err := filepath.EvalSymlinks(absolute); err == nil {
		return real, nil
	}
	folder, err := filepath.EvalSymlinks(filepath.Dir(absolute))
	return filepath.Join(folder, filepath.Base(absolute)), err
}

// owns says what a path would be to a project in folder; "" is nothing of its own.
func owns(folder, path string) string {
	relative, err := filepath.Rel(folder, path)
	if err != nil {
		return ""
	}
	first, _, deeper := strings.Cut(filepath.ToSlash(relative), "/")
	for _, own := range ownFiles {
		if !deeper && first == own.name {
			return own.what
		}
	}
	for _, own := range ownFolders {
		if deeper && first == own.name {
			return own.what
		}
	}
	return ""
}

// sameFileIn looks in a folder and those within for a file, known by what it is and not by its name.
func sameFileIn(folder string, file fs.FileInfo) (found string) {
	filepath.WalkDir(folder, func(path string, _ fs.DirEntry, err error) error {
		if err != nil {
			return nil
		}
		if info, err := os.Stat(path); err == nil && os.SameFile(info, file) {
			found = path
			return fs.SkipAll
		}
		return nil
	})
	return found
}
