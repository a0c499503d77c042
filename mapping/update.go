// Bringing the map on disk up to date, without undoing what a person edited in it.

package mapping

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"

	"lapstrake/mapping/whole"
)

// Updating says how Update treats a map that is there already.
type Updating struct {
	Force       bool     // replace a map that was edited by hand
	BedsChanged bool     // a bed has been made since: a player is to load the map anew
	Beds        []string // files beside the map's own beds that the map must not be older than
}

// Update writes the map to path unless the same map is there. A map that was edited by hand stays and is only dated
// anew where its beds are newer; kept tells so. A map that was updated is never older than its beds, whatever a clock
// says.
func (m *Map) Update(path string, o Updating) (kept bool, err error) {
	edited, err := EditedByHand(path)
	if err != nil {
		return false, err
	}
	kept = edited && !o.Force
	old, _ := os.ReadFile(path)
	data := old
	if !kept {
		if data, err = m.checked(path); err != nil {
			return false, err
		}
	}
	beds := slices.Concat(o.Beds, bedFiles(path, data))
	if !o.BedsChanged && !olderThanAny(path, beds) && bytes.Equal(old, data) {
		return kept, nil // a player need not load it anew
	}
	if err := whole.Write(path, data); err != nil {
		return false, err
	}
	return kept, whole.NotOlder(path, beds)
}

// bedFiles lists the beds that the text of a map at path names; of a map that cannot be read, none.
func bedFiles(path string, text []byte) (files []string) {
	m, err := Parse(text, path)
	if err != nil {
		return nil
	}
	for _, bed := range m.BedPaths() {
		files = append(files, filepath.Join(filepath.Dir(path), filepath.FromSlash(bed)))
	}
	return files
}

func olderThanAny(path string, others []string) bool {
	info, err := os.Stat(path)
	if err != nil {
		return true
	}
	return slices.ContainsFunc(others, func(other string) bool {
		o, err := os.Stat(other)
		return err == nil && o.ModTime().After(info.ModTime())
	})
}
