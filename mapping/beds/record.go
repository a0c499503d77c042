// The build's record, beds/built.json: which bed was made from what, so that only what changed is made again.

package beds

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/whole"
)

// buildRecord is what the file holds: the finished beds, and the answer of Assign that they were made by.
type buildRecord struct {
	Beds   map[string]*builtBed `json:"beds"`
	Takes  []string             `json:"takes"` // the names of the candidates
	Answer *assign.Assignment   `json:"answer"`

	path   string
	adding sync.Mutex // beds are finished side by side
}

// readRecord reads the record; one that is missing or broken is empty, so that all beds are made again.
func readRecord(path string) (*buildRecord, error) {
	record := &buildRecord{}
	data, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if json.Unmarshal(data, record) != nil {
		record = &buildRecord{}
	}
	if record.Beds == nil {
		record.Beds = map[string]*builtBed{}
	}
	record.path = path
	return record, nil
}

// save writes the record. A file that would not change is left alone.
func (record *buildRecord) save() error {
	data, err := json.MarshalIndent(record, "", " ")
	if err != nil {
		return err
	}
	if old, err := os.ReadFile(record.path); err == nil && bytes.Equal(old, data) {
		return nil
	}
	return whole.Write(record.path, data)
}

// assignment gives takes to beds, with as few changes against the last build as may be: an edited take changes its own
// beds alone.
func (record *buildRecord) assignment(candidates []assign.Candidate, rows []*takes.Row, s *project.Settings) *assign.Assignment {
	o, slots := assign.OptionsOf(s), s.Slots()
	if record.Answer != nil {
		place := map[string]int{}
		for i, row := range rows {
			place[row.Name()] = i
		}
		o.Before = record.Answer.Carry(slots, func(take int) (int, bool) {
			if take >= len(record.Takes) {
				return 0, false
			}
			i, found := place[record.Takes[take]]
			return i, found
		})
	}
	record.Answer, record.Takes = assign.Takes(candidates, slots, o), nil
	for _, row := range rows {
		record.Takes = append(record.Takes, row.Name())
	}
	return record.Answer
}

// has says whether a recipe's bed is there as it was made.
func (record *buildRecord) has(r *recipe, path string) bool {
	entry := record.Beds[r.Slot.String()]
	if entry == nil || entry.Recipe != r.key() || len(entry.Parts) != len(r.Parts) {
		return false
	}
	if !entry.is(path) {
		return false
	}
	if info, err := os.Stat(path); err == nil {
		entry.ModifiedNs = info.ModTime().UnixNano() // so that its content need not be read again
	}
	entry.Takes = r.takes()
	return true
}

// forget drops beds of earlier builds that are not wanted any more, with their files; files that no build made stay.
func (record *buildRecord) forget(dir string, wanted []recipe) error {
	for name, entry := range record.Beds {
		if slices.ContainsFunc(wanted, func(r recipe) bool { return r.Slot.String() == name && len(r.Parts) > 0 }) {
			continue
		}
		path := filepath.Join(dir, project.BedsFolder, name)
		if entry.is(path) {
			os.Remove(path)
		}
		delete(record.Beds, name)
	}
	return record.save()
}

// add notes a finished bed and saves the record, so that a build that is killed need not make it again. It may be
// called from several goroutines.
func (record *buildRecord) add(entry *builtBed) error {
	record.adding.Lock()
	defer record.adding.Unlock()
	record.Beds[entry.Bed] = entry
	return record.save()
}

// parts tells how each part of a recipe is heard.
func (record *buildRecord) parts(r *recipe) []arrange.Heard {
	if entry := record.Beds[r.Slot.String()]; entry != nil {
		return entry.Parts
	}
	return nil
}
