// Where an export may be put.

package export

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// ErrThere says that the target is there already, and that replacing was not asked for.
var ErrThere = errors.New("is there already")

// CheckTarget refuses a target that is the project of map m or holds it, that lies among its takes or beds, or that is
// there already (ErrThere). With replace, what is there must be an export and nothing else.
func CheckTarget(out, project string, m *mapping.Map, replace bool) error {
	resolved, err := resolve(out)
	if err != nil {
		return err
	}
	for _, from := range foldersMadeFrom(project, m) {
		real, err := resolve(from.folder)
		switch {
		case err != nil: // there is no such folder
		case within(real, resolved):
			return fmt.Errorf("%s: is or holds %s, which the export is made from; name a folder outside of it",
				out, from.folder)
		case from.closed && within(resolved, real):
			return fmt.Errorf("%s: lies in %s, which the export is made from; name a folder outside of it",
				out, from.folder)
		}
	}
	info, err := os.Stat(out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return targetError(out, err)
	case !info.IsDir():
		return fmt.Errorf("%s: found a file, expected a folder to be made; choose another name", out)
	case !replace:
		return fmt.Errorf("%s: %w; choose another name, or replace an earlier export", out, ErrThere)
	}
	return checkReplaceable(out, resolved)
}

// madeFrom is a folder that an export is made from, and must not harm.
type madeFrom struct {
	folder string
	closed bool // nothing may be written into it
}

// foldersMadeFrom lists the project, its takes and all folders that hold beds of the map.
func foldersMadeFrom(dir string, m *mapping.Map) []madeFrom {
	folders := []madeFrom{
		{dir, false}, {filepath.Join(dir, project.TakesFolder), true}, {filepath.Join(dir, project.BedsFolder), true},
	}
	for _, bed := range m.BedPaths() {
		f := madeFrom{filepath.Join(dir, filepath.Dir(filepath.FromSlash(bed))), true}
		f.closed = f.folder != filepath.Clean(dir)
		if !slices.Contains(folders, f) {
			folders = append(folders, f)
		}
	}
	return folders
}

// resolve gives the absolute path of out, links followed. out itself may be missing, its folder may not.
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
		return "", targetError(out, err)
	}
	return filepath.Join(folder, filepath.Base(absolute)), nil
}

// targetError says why out cannot be made.
func targetError(out string, err error) error {
	var failed *fs.PathError
	if errors.As(err, &failed) {
		err = failed.Err
	}
	return fmt.Errorf("%s: cannot be created: %w; expected a name in a folder that is there; "+
		"make the folder first, or correct the path", out, err)
}

// within says whether path is folder or lies in it.
func within(path, folder string) bool {
	relative, err := filepath.Rel(folder, path)
	return err == nil && relative != ".." && !strings.HasPrefix(relative, ".."+string(filepath.Separator))
}

// checkReplaceable refuses a folder, called out in errors, that is no export, or that holds anything but files as an
// export wrote them: replacing it would lose that.
func checkReplaceable(out, folder string) error {
	listed, err := listedFiles(filepath.Join(folder, checksumsFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if listed[howToFile] == "" {
		entries, err := os.ReadDir(folder)
		if err == nil && len(entries) > 0 {
			err = fmt.Errorf("%s: is there already and no export: expected a %s that lists %s; choose another name",
				out, checksumsFile, howToFile)
		}
		return err
	}
	holdsListed := func(folder string) bool {
		return slices.ContainsFunc(slices.Collect(maps.Keys(listed)), func(name string) bool {
			return strings.HasPrefix(name, folder+"/")
		})
	}
	return filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(folder, path)
		name := filepath.ToSlash(relative)
		switch {
		case err != nil:
			return err
		case entry.IsDir() && (name == "." || holdsListed(name)), name == checksumsFile:
			return nil
		case entry.IsDir() || listed[name] == "" || !ofAnExport(name):
			return fmt.Errorf("%s: holds %s, which no export wrote and replacing would take away; move it elsewhere",
				out, name)
		}
		if sum, err := checksum(path); err != nil || sum != listed[name] {
			return errors.Join(err, fmt.Errorf("%s: %s was changed since it was exported, and replacing would take "+
				"that away; move it elsewhere", out, name))
		}
		return nil
	})
}

// ofAnExport says whether an export may have written a file of this name.
func ofAnExport(name string) bool {
	return slices.Contains(textFiles, name) || slices.ContainsFunc(parts, func(p part) bool { return p.mayHold(name) })
}

// listedFiles reads a file of checksums: the sum of each name.
func listedFiles(path string) (map[string]string, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	listed := map[string]string{}
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		if sum, name, found := strings.Cut(lines.Text(), "  "); found {
			listed[name] = sum
		}
	}
	return listed, lines.Err()
}
