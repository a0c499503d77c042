// Package withdraw takes takes out of a project because somebody wants them back: untouched, into a folder of their
// own, with the cells of their rows, so that they can return. It then proves that nothing else holds them.
package withdraw

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
)

// Take is a take that leaves or comes back.
type Take struct {
	Path        string `json:"take"`
	Contributor string `json:"contributor"`
	Hash        string `json:"sha256"`
	Kept        string `json:"kept"` // where it lies now, from the project folder; "" if its file was missing
}

// Out moves the takes of some rows of the project's sheet, given by path, into a new folder of their own, and their
// rows with them. Other rows of the same recordings go along. Files are renamed, never copied or rewritten. When a
// step fails, what is done stays done, and the same call goes on from there.
func Out(dir string, paths []string) ([]Take, error) {
	sheet, path, err := readSheet(dir)
	if err != nil {
		return nil, err
	}
	paths = withSameContent(sheet, paths)
	gone := sheet.TakeOut(paths)
	count := len(gone.Rows)
	if count == 0 {
		return nil, nil
	}
	number, others, err := unfinished(dir, gone)
	if err != nil {
		return nil, err
	}
	if others != nil {
		gone.TakeIn(others)
	}
	folder := filepath.Join(dir, project.WithdrawnFolder, strconv.Itoa(number))
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, err
	}
	// first: no cell is lost, whatever comes
	if err := gone.Save(filepath.Join(folder, project.SheetFile)); err != nil {
		return nil, err
	}
	var moved []Take
	for i := range gone.Rows[:count] {
		row := &gone.Rows[i]
		err := move(takePath(dir, row.Path), filepath.Join(folder, filepath.FromSlash(row.Path)), row.Hash)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return moved, err
		}
		moved = append(moved, takeIn(dir, number, row))
	}
	if err := sheet.MoveContributors(dir, folder, contributorsOf(gone.Rows[:count])); err != nil {
		return moved, err
	}
	return moved, sheet.Save(path) // last: until then the same call finds the takes again
}

func contributorsOf(rows []takes.Row) (names []string) {
	for i := range rows {
		names = append(names, rows[i].Contributor)
	}
	return names
}

func takePath(dir, path string) string {
	return filepath.Join(dir, project.TakesFolder, filepath.FromSlash(path))
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

func nameTaken(path string) error {
	return fmt.Errorf("%s: is there already: rename it, since no take is ever written over", path)
}

// move renames a file, never onto another one. The file must be what was measured; "" stands for a file that never
// was.
func move(from, to, hash string) error {
	found, err := decode.Hash(from)
	if err != nil {
		return err
	}
	if hash != "" && found != hash {
		return fmt.Errorf("%s: has changed since it was measured: run `lapstrake intake` and try again", from)
	}
	if exists(to) {
		return nameTaken(to)
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		return err
	}
	if err := os.Rename(from, to); err != nil {
		return err
	}
	if folder := filepath.Dir(from); filepath.Base(folder) != project.TakesFolder {
		os.Remove(folder) // stays while there are other files in it
	}
	return nil
}

// withSameContent adds to some takes the others whose files are the same recording.
func withSameContent(sheet *takes.Sheet, paths []string) []string {
	all := slices.Clone(paths)
	for i := range sheet.Rows {
		for k := range sheet.Rows {
			a, b := &sheet.Rows[i], &sheet.Rows[k]
			if a.Hash != "" && a.Hash == b.Hash && slices.Contains(paths, a.Path) && !slices.Contains(all, b.Path) {
				all = append(all, b.Path)
			}
		}
	}
	return all
}

func readSheet(dir string) (sheet *takes.Sheet, path string, err error) {
	path = filepath.Join(dir, project.SheetFile)
	sheet, err = readRows(dir, path)
	return sheet, path, err
}

func readRows(dir, path string) (*takes.Sheet, error) {
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	return takes.ReadSheet(path, takes.OptionsOf(&settings))
}
