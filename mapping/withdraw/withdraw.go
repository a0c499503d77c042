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
// rows with them. Other rows of the same recordings go along. Files are renamed, never copied or rewritten. When a step
// fails, what is done stays done, and the same call goes on from there.
func Out(dir string, paths []string) ([]Take, error) {
	sheet, path, err := readSheet(dir)
	if err != nil {
		return nil, err
	}
	paths = withSameContent(sheet, paths)
	number, err := nextNumber(dir)
	if err != nil {
		return nil, err
	}
	folder := filepath.Join(dir, project.WithdrawnFolder, strconv.Itoa(number))
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, err
	}
	gone := sheet.TakeOut(paths)
	if err := gone.Save(filepath.Join(folder, project.SheetFile)); err != nil { // first: no cell is lost, whatever comes
		return nil, err
	}
	var moved []Take
	for i := range gone.Rows {
		row := &gone.Rows[i]
		take := Take{Path: row.Path, Contributor: row.Contributor, Hash: row.Hash}
		from := filepath.Join(dir, project.TakesFolder, filepath.FromSlash(row.Path))
		to := filepath.Join(folder, filepath.FromSlash(row.Path))
		switch err := move(from, to, row.Hash); {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return moved, err
		default:
			take.Kept = filepath.ToSlash(filepath.Join(project.WithdrawnFolder, strconv.Itoa(number),
				filepath.FromSlash(row.Path)))
		}
		moved = append(moved, take)
	}
	if err := sheet.Save(path); err != nil {
		return moved, err
	}
	return moved, sheet.MoveContributors(dir, folder, contributorsOf(moved))
}

func contributorsOf(all []Take) (names []string) {
	for _, take := range all {
		names = append(names, take.Contributor)
	}
	return names
}

// Back brings withdrawn takes back, given by path, with the cells of their rows. The latest withdrawal of each counts.
func Back(dir string, paths []string) ([]Take, error) {
	sheet, path, err := readSheet(dir)
	if err != nil {
		return nil, err
	}
	numbers, err := numbersOf(dir)
	if err != nil {
		return nil, err
	}
	var back []Take
	for _, number := range slices.Backward(numbers) {
		folder := filepath.Join(dir, project.WithdrawnFolder, strconv.Itoa(number))
		rows, err := readRows(dir, filepath.Join(folder, project.SheetFile))
		if err != nil {
			return back, err
		}
		returning := rows.TakeOut(paths)
		for i := range returning.Rows {
			row := &returning.Rows[i]
			to := filepath.Join(dir, project.TakesFolder, filepath.FromSlash(row.Path))
			err := move(filepath.Join(folder, filepath.FromSlash(row.Path)), to, row.Hash)
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return back, err
			}
			back = append(back, Take{Path: row.Path, Contributor: row.Contributor, Hash: row.Hash,
				Kept: project.TakesFolder + "/" + row.Path})
			paths = slices.DeleteFunc(slices.Clone(paths), func(p string) bool { return p == row.Path })
		}
		if len(returning.Rows) == 0 {
			continue
		}
		sheet.TakeIn(returning)
		if err := sheet.Save(path); err != nil {
			return back, err
		}
		if err := rows.MoveContributors(folder, dir, contributorsOf(back)); err != nil {
			return back, err
		}
		if err := keepRows(folder, rows); err != nil {
			return back, err
		}
	}
	return back, nil
}

// keepRows writes what is left of a withdrawal's rows. A withdrawal of which nothing is left goes.
func keepRows(folder string, rows *takes.Sheet) error {
	path := filepath.Join(folder, project.SheetFile)
	if len(rows.Rows) > 0 {
		return rows.Save(path)
	}
	if err := os.Remove(path); err != nil {
		return err
	}
	removeEmpty(folder)
	os.Remove(filepath.Dir(folder)) // stays while other withdrawals lie in it
	return nil
}

// removeEmpty removes a folder and the folders in it, as far as they hold no file.
func removeEmpty(folder string) {
	entries, _ := os.ReadDir(folder)
	for _, entry := range entries {
		if entry.IsDir() {
			removeEmpty(filepath.Join(folder, entry.Name()))
		}
	}
	os.Remove(folder)
}

// move renames a file, never onto another one. The file must be what was measured; "" stands for a file that never was.
func move(from, to, hash string) error {
	found, err := decode.Hash(from)
	if err != nil {
		return err
	}
	if hash != "" && found != hash {
		return fmt.Errorf("%s: has changed since it was measured: run `lapstrake intake` and try again", from)
	}
	if _, err := os.Lstat(to); err == nil {
		return fmt.Errorf("%s: is there already: rename it, since no take is ever written over", to)
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		return err
	}
	if err := os.Rename(from, to); err != nil {
		return err
	}
	os.Remove(filepath.Dir(from)) // stays while there are other files in it
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

// Withdrawn lists the rows of all takes that are withdrawn, the latest withdrawal first.
func Withdrawn(dir string) ([]takes.Row, error) {
	numbers, err := numbersOf(dir)
	if err != nil {
		return nil, err
	}
	var all []takes.Row
	for _, number := range slices.Backward(numbers) {
		rows, err := readRows(dir, filepath.Join(dir, project.WithdrawnFolder, strconv.Itoa(number), project.SheetFile))
		if err != nil {
			return nil, err
		}
		all = append(all, rows.Rows...)
	}
	return all, nil
}

// numbersOf lists the withdrawals of a project in their order.
func numbersOf(dir string) ([]int, error) {
	entries, err := os.ReadDir(filepath.Join(dir, project.WithdrawnFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	var numbers []int
	for _, entry := range entries {
		number, err := strconv.Atoi(entry.Name())
		if _, missing := os.Stat(filepath.Join(dir, project.WithdrawnFolder, entry.Name(),
			project.SheetFile)); err == nil && missing == nil {
			numbers = append(numbers, number)
		}
	}
	slices.Sort(numbers)
	return numbers, nil
}

func nextNumber(dir string) (int, error) {
	entries, err := os.ReadDir(filepath.Join(dir, project.WithdrawnFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, err
	}
	next := 1
	for _, entry := range entries {
		if number, err := strconv.Atoi(entry.Name()); err == nil {
			next = max(next, number+1)
		}
	}
	return next, nil
}
