// A project of which no take is left: what builds made goes.

package beds

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// Clear takes away what builds of the project in dir made: the beds, their record, the ledger and the map. Beds that
// no build made or that were edited by hand stay, and so does a map that was edited by hand, unless force; mapKept
// tells so.
func Clear(dir string, force bool) (mapKept bool, err error) {
	folder := filepath.Join(dir, project.BedsFolder)
	record, err := readRecord(filepath.Join(folder, project.BuiltFile))
	if err != nil {
		return false, err
	}
	path := filepath.Join(dir, mapping.FileName)
	edited, err := mapping.EditedByHand(path)
	if err != nil {
		return false, err
	}
	mapKept = edited && !force
	if len(record.Beds) > 0 {
		*record = buildRecord{Beds: record.Beds, path: record.path}
		if err := record.forget(dir, nil); err != nil {
			return mapKept, err
		}
	}
	gone := []string{filepath.Join(dir, project.HeardFile)}
	if len(record.Beds) == 0 {
		gone = append(gone, record.path)
	}
	if !mapKept {
		gone = append(gone, path)
	}
	for _, file := range gone {
		if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return mapKept, err
		}
	}
	os.Remove(folder) // stays while there are other files in it
	return mapKept, nil
}
