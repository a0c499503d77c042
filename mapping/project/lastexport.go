// The last export of a project: where it went, for what, and whether the project is still what was exported.

package project

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/whole"
)

const lastExportFile = ".lapstrake-export.json"

// LastExport is what is remembered of an export.
type LastExport struct {
	When  time.Time `json:"when"`
	To    string    `json:"to"`  // the folder, absolute
	For   string    `json:"for"` // the use it was meant for: commercial, sharing, private, or ""
	Since bool      `json:"changed_since"`
	Of    string    `json:"of"` // what the project was: a digest of map and beds
}

// KeepExport remembers that the project in dir was exported to a folder for a use.
func KeepExport(dir, to, use string) error {
	of, err := contentOf(dir)
	if err != nil {
		return err
	}
	if to, err = filepath.Abs(to); err != nil {
		return err
	}
	data, err := json.MarshalIndent(LastExport{When: time.Now().Round(time.Second), To: to, For: use, Of: of}, "", " ")
	if err != nil {
		return err
	}
	return whole.Write(filepath.Join(dir, lastExportFile), append(data, '\n'))
}

// ReadLastExport tells of the last export of the project in dir; nil if there was none, or what was kept of it is
// broken.
func ReadLastExport(dir string) (*LastExport, error) {
	data, err := os.ReadFile(filepath.Join(dir, lastExportFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	last := &LastExport{}
	if err != nil {
		return nil, err
	}
	if json.Unmarshal(data, last) != nil {
		return nil, nil
	}
	now, err := contentOf(dir)
	last.Since = now != last.Of
	return last, err
}

// contentOf is a digest of what an export is made from: the map, the build's record of every bed, and the sizes of the
// beds that the map plays.
func contentOf(dir string) (string, error) {
	digest := sha256.New()
	for _, name := range []string{mapping.FileName, BedsFolder + "/" + BuiltFile} {
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
		digest.Write(data)
	}
	m, err := mapping.Load(filepath.Join(dir, mapping.FileName))
	if err != nil {
		return hex.EncodeToString(digest.Sum(nil)), nil // a map that cannot be read is another one
	}
	for _, bed := range m.BedPaths() {
		if info, err := os.Stat(filepath.Join(dir, filepath.FromSlash(bed))); err == nil {
			fmt.Fprintln(digest, bed, info.Size())
		}
	}
	return hex.EncodeToString(digest.Sum(nil)), nil
}
