// The way back: withdrawn takes and the cells of their rows return to the project.

package withdraw

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// Back brings withdrawn takes back, given by path, with the cells of their rows. The latest withdrawal of each counts.
// A file of the same name that has come to takes/ meanwhile is an error, before anything of that withdrawal is
// changed. When a step fails, the same call goes on from there.
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
		if len(returning.Rows) == 0 {
			continue
		}
		if err := checkFree(dir, folder, returning.Rows); err != nil {
			return back, err
		}
		if err := rows.MoveContributors(folder, dir, contributorsOf(returning.Rows)); err != nil {
			return back, err
		}
		sheet.TakeIn(returning)
		if err := sheet.Save(path); err != nil { // first: a take that is back without its row would be a new one
			return back, err
		}
		for i := range returning.Rows {
			row := &returning.Rows[i]
			to := takePath(dir, row.Path)
			err := move(filepath.Join(folder, filepath.FromSlash(row.Path)), to, row.Hash)
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return back, err
			}
			take := Take{Path: row.Path, Contributor: row.Contributor, Hash: row.Hash}
			if exists(to) {
				take.Kept = project.TakesFolder + "/" + row.Path
			}
			back = append(back, take)
			paths = slices.DeleteFunc(slices.Clone(paths), func(p string) bool { return p == row.Path })
		}
		if err := keepRows(folder, rows); err != nil {
			return back, err
		}
	}
	return back, nil
}

// checkFree is an error where a withdrawn take cannot come back, since another file has its name by now.
func checkFree(dir, folder string, rows []takes.Row) error {
	for i := range rows {
		to := takePath(dir, rows[i].Path)
		if exists(to) && exists(filepath.Join(folder, filepath.FromSlash(rows[i].Path))) {
			return nameTaken(to)
		}
	}
	return nil
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
