// The withdrawals of a project: numbered folders, each with the rows of its takes.

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

// unfinished finds the latest withdrawal of some takes that was broken off before the sheet was saved: its number, and
// its rows of other takes. A withdrawal that has a take which is there in takes/, too, is another one. Without an
// unfinished one, the number is the next.
func unfinished(dir string, gone *takes.Sheet) (number int, others *takes.Sheet, err error) {
	numbers, err := numbersOf(dir)
	if err != nil {
		return 0, nil, err
	}
	var paths []string
	for i := range gone.Rows {
		paths = append(paths, gone.Rows[i].Path)
	}
	for _, number := range slices.Backward(numbers) {
		folder := filepath.Join(dir, project.WithdrawnFolder, strconv.Itoa(number))
		rows, err := readRows(dir, filepath.Join(folder, project.SheetFile))
		if err != nil {
			return 0, nil, err
		}
		same := rows.TakeOut(paths)
		if len(same.Rows) > 0 && !slices.ContainsFunc(same.Rows, func(row takes.Row) bool {
			return exists(takePath(dir, row.Path)) && exists(filepath.Join(folder, filepath.FromSlash(row.Path)))
		}) {
			return number, rows, nil
		}
	}
	number, err = nextNumber(dir)
	return number, nil, err
}

// takeIn describes a take of a withdrawal.
func takeIn(dir string, number int, row *takes.Row) Take {
	take := Take{Path: row.Path, Contributor: row.Contributor, Hash: row.Hash}
	kept := filepath.Join(project.WithdrawnFolder, strconv.Itoa(number), filepath.FromSlash(row.Path))
	if exists(filepath.Join(dir, kept)) {
		take.Kept = filepath.ToSlash(kept)
	}
	return take
}

// Withdrawn lists the rows of all takes that are withdrawn, the latest withdrawal first.
func Withdrawn(dir string) ([]takes.Row, error) {
	numbers, err := numbersOf(dir)
	if err != nil {
		return nil, err
	}
	var all []takes.Row
	for _, number := range slices.Backward(numbers) {
		rows, err := readRows(dir, filepath.Join(dir, project.WithdrawnFolder, strconv.Itoa(number),
			project.SheetFile))
		if err != nil {
			return nil, err
		}
		all = append(all, rows.Rows...)
	}
	return all, nil
}

// Lying lists the takes that were withdrawn already, given by path, the latest withdrawal of each.
func Lying(dir string, paths []string) (all []Take, err error) {
	numbers, err := numbersOf(dir)
	if err != nil {
		return nil, err
	}
	for _, number := range slices.Backward(numbers) {
		rows, err := readRows(dir, filepath.Join(dir, project.WithdrawnFolder, strconv.Itoa(number),
			project.SheetFile))
		if err != nil {
			return nil, err
		}
		for i := range rows.Rows {
			take := takeIn(dir, number, &rows.Rows[i])
			if slices.Contains(paths, take.Path) &&
				!slices.ContainsFunc(all, func(t Take) bool { return t.Path == take.Path }) {
				all = append(all, take)
			}
		}
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
