// Where an export may be put.

package export

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/takes"
)

// CheckTarget refuses a target that is the project, lies among its takes or beds, or is there already; with force,
// what is there must be an export and nothing else.
func CheckTarget(out, project string, m *mapping.Map, force bool) error {
	resolved, err := resolve(out)
	if err != nil {
		return err
	}
	folders := []string{filepath.Join(project, takes.Folder), filepath.Join(project, beds.Folder)}
	for _, bed := range bedsOf(m) {
		if folder := filepath.Join(project, filepath.Dir(filepath.FromSlash(bed))); !slices.Contains(folders, folder) && filepath.Clean(folder) != filepath.Clean(project) {
			folders = append(folders, folder)
		}
	}
	for _, folder := range folders {
		source, err := filepath.EvalSymlinks(folder)
		if err != nil {
			continue // there is no such folder
		}
		if source, err = filepath.Abs(source); err == nil && within(resolved, source) {
			return fmt.Errorf("%s: lies in %s, which the export is made from; name a folder outside of it", out, folder)
		}
	}
	info, err := os.Stat(out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case !info.IsDir():
		return fmt.Errorf("%s: found a file, expected a folder to be made; choose another name", out)
	case !force:
		return fmt.Errorf("%s: is there already; choose another name, or replace an earlier export with --force", out)
	}
	return checkReplaceable(out, resolved)
}

// resolve is the absolute path of what may not be there yet, through links.
func resolve(out string) (string, error) {
	absolute, err := filepath.Abs(out)
	if err != nil {
		return "", err
	}
	if real, err := filepath.EvalSymlinks(absolute); err == nil {
		return real, nil
	}
	folder, err := filepath.EvalSymlinks(filepath.Dir(absolute))
	if err != nil {
		return "", fmt.Errorf("%s: cannot be created: no folder %s; make it first, or correct the path", out, filepath.Dir(out))
	}
	return filepath.Join(folder, filepath.Base(absolute)), nil
}

func within(path, folder string) bool {
	relative, err := filepath.Rel(folder, path)
	return err == nil && relative != ".." && !strings.HasPrefix(relative, ".."+string(filepath.Separator))
}

// checkReplaceable wants every file of a folder, called out, to be one that an export once wrote, so that nothing else
// is lost.
func checkReplaceable(out, folder string) error {
	listed, err := listedFiles(filepath.Join(folder, checksumsFile))
	if errors.Is(err, fs.ErrNotExist) {
		entries, err := os.ReadDir(folder)
		if err == nil && len(entries) > 0 {
			err = fmt.Errorf("%s: is there already and no export: it has no %s; choose another name", out, checksumsFile)
		}
		return err
	}
	if err != nil {
		return err
	}
	return filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(folder, path)
		if err == nil && !listed[filepath.ToSlash(name)] {
			err = fmt.Errorf("%s: holds %s, which no export wrote and --force would take away; move it elsewhere", out, name)
		}
		return err
	})
}

// listedFiles reads the names of a file of checksums, which counts itself.
func listedFiles(path string) (map[string]bool, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	listed := map[string]bool{checksumsFile: true}
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		if _, name, found := strings.Cut(lines.Text(), "  "); found {
			listed[name] = true
		}
	}
	return listed, lines.Err()
}
