// A project named by what lies in it.

package project

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping"
)

// Find gives the folder of the project that path names: the folder itself, one of the project's own files, or anything
// in its takes or beds. A path that leads to no project is returned as it is, and so is a map under another name than
// mapping.FileName.
func Find(path string) string {
	info, err := os.Stat(path)
	if err != nil || info.IsDir() && isProject(path) {
		return path
	}
	absolute, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	for folder, up := filepath.Dir(absolute), 1; ; folder, up = filepath.Dir(folder), up+1 {
		if inside, err := filepath.Rel(folder, absolute); err == nil && belongs(folder, filepath.ToSlash(inside)) {
			return climb(path, up)
		}
		if folder == filepath.Dir(folder) {
			break
		}
	}
	if name := filepath.Base(absolute); info.IsDir() && (name == TakesFolder || name == BedsFolder) &&
		!hasFolders(path) {
		return climb(path, 1) // a new project, which has nothing else yet
	}
	return path
}

// isProject says whether folder holds a file that only projects have.
func isProject(folder string) bool {
	return slices.ContainsFunc(kept, func(name string) bool {
		info, err := os.Stat(filepath.Join(folder, name))
		return err == nil && info.Mode().IsRegular()
	})
}

// hasFolders says whether folder holds the folders of a project.
func hasFolders(folder string) bool {
	return slices.ContainsFunc([]string{TakesFolder, BedsFolder}, func(name string) bool {
		info, err := os.Stat(filepath.Join(folder, name))
		return err == nil && info.IsDir()
	})
}

// belongs says whether folder is a project of which inside, a path in it with slashes, is a part.
func belongs(folder, inside string) bool {
	switch first, _, deeper := strings.Cut(inside, "/"); first {
	case SettingsFile, SheetFile, ContributorsFile, HeardFile, mapping.FileName:
		return !deeper
	case TakesFolder, BedsFolder:
		return isProject(folder)
	}
	return false
}

// climb goes up from path, in the words that path is given in where they suffice.
func climb(path string, up int) string {
	path = filepath.Clean(path)
	for range up {
		switch base := filepath.Base(path); {
		case base == "." || base == "..":
			path = filepath.Join(path, "..")
		default:
			path = filepath.Dir(path)
		}
	}
	return path
}
