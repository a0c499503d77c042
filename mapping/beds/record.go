// The build's record, beds/built.json: which bed was made from what, so that only what changed is made again.

package beds

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"lapstrake/mapping"
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
	Asked  string               `json:"asked"` // the question that Answer answers
	// Earlier are answers to other questions, the latest first: a take that was muted and is used again finds its
	// places.
	Earlier []earlierAnswer `json:"earlier"`
	// Companies are what each bed was arranged beside, by its file's name, that of the bed as it is first: the same
	// parts stand beside the same company again, whatever became of the others.
	Companies map[string][]knownCompany `json:"companies"`
	// Making are beds that a build began to make and did not note as finished: what lies there is nobody's edit.
	Making     []string `json:"making,omitempty"`
	Unfinished bool     `json:"unfinished,omitempty"` // beds have been made since the map was written

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
	if record.Companies == nil {
		record.Companies = map[string][]knownCompany{}
	}
	record.path = path
	return record, nil
}

// earlierAnswer is what an earlier build decided.
type earlierAnswer struct {
	Asked  string             `json:"asked"`
	Takes  []string           `json:"takes"`
	Answer *assign.Assignment `json:"answer"`
}

const mostEarlier = 10 // as many as a project has states to go back to

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

// assignment gives takes to beds: as an earlier build did if it had the same takes, settings and beds, and else with
// as few changes against the last build as may be: an edited take changes its own beds alone.
func (record *buildRecord) assignment(candidates []assign.Candidate, rows []*takes.Row,
	s *project.Settings) *assign.Assignment {
	o, slots := assign.OptionsOf(s), s.Slots()
	names := make([]string, len(rows))
	for i, row := range rows {
		names[i] = row.Name()
	}
	asked := question(candidates, names, slots, o)
	if record.Answer == nil {
		record.Answer, record.Takes, record.Asked = assign.Takes(candidates, slots, o), names, asked
		return record.Answer
	}
	if asked == record.Asked {
		return record.Answer
	}
	last := earlierAnswer{record.Asked, record.Takes, record.Answer}
	if at := slices.IndexFunc(record.Earlier, func(e earlierAnswer) bool { return e.Asked == asked }); at >= 0 {
		record.Answer = record.Earlier[at].Answer
		record.Earlier = slices.Delete(record.Earlier, at, at+1)
	} else {
		o.Before = carried(last, names, slots)
		record.Answer = assign.Takes(candidates, slots, o)
	}
	record.Takes, record.Asked = names, asked
	record.Earlier = slices.Insert(record.Earlier, 0, last)
	record.Earlier = record.Earlier[:min(len(record.Earlier), mostEarlier)]
	return record.Answer
}

// question is a name for all that decides an answer, but for the answers before it.
func question(candidates []assign.Candidate, paths []string, slots []mapping.BedName, o assign.Options) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d %q %+v %+v %+v", renderVersion, paths, candidates, slots, o))
	return hex.EncodeToString(sum[:])
}

// carried tells which of some takes each slot had in an earlier answer.
func carried(earlier earlierAnswer, paths []string, slots []mapping.BedName) [][]int {
	place := map[string]int{}
	for i, path := range paths {
		place[path] = i
	}
	return earlier.Answer.Carry(slots, func(take int) (int, bool) {
		if take >= len(earlier.Takes) {
			return 0, false
		}
		i, found := place[earlier.Takes[take]]
		return i, found
	})
}

// begin notes which beds a build is about to make, so that a bed of a build that is killed is not taken for an edit.
func (record *buildRecord) begin(making []*recipe) error {
	if len(making) == 0 {
		return nil
	}
	for _, r := range making {
		if name := r.Slot.String(); !slices.Contains(record.Making, name) {
			record.Making = append(record.Making, name)
		}
	}
	record.Unfinished = true
	return record.save()
}

// forget drops beds of earlier builds that are not wanted any more, with their files. Files that no build made stay,
// and so do beds that were edited by hand, with what the record knows of them.
func (record *buildRecord) forget(dir string, wanted []recipe) error {
	for name, entry := range record.Beds {
		if slices.ContainsFunc(wanted, func(r recipe) bool { return r.Slot.String() == name && len(r.Parts) > 0 }) {
			continue
		}
		path := filepath.Join(dir, project.BedsFolder, name)
		if entry.is(path) {
			os.Remove(path)
		} else if edited, _ := record.edited(name, path); edited {
			continue
		}
		delete(record.Beds, name)
		delete(record.Companies, name)
	}
	record.sweepCourses(dir)
	return record.save()
}

// add notes a finished bed, and by how much it was darkened, and saves the record, so that a build that is killed need
// not make it again. It may be called from several goroutines.
func (record *buildRecord) add(entry *builtBed, r *recipe) error {
	record.adding.Lock()
	defer record.adding.Unlock()
	if known := record.knownCompany(r); known != nil {
		known.DarkerDB = r.darkerDB
	}
	record.Beds[entry.Bed] = entry
	record.Making = slices.DeleteFunc(record.Making, func(name string) bool { return name == entry.Bed })
	return record.save()
}

// ForgetEarlier drops from the record of the project in dir what builds before the last one decided: it may name takes
// that must not be named any more.
func ForgetEarlier(dir string) error {
	record, err := readRecord(filepath.Join(dir, project.BedsFolder, project.BuiltFile))
	if err != nil {
		return err
	}
	forgotten := len(record.Earlier) > 0
	record.Earlier = nil
	for name, known := range record.Companies {
		forgotten = forgotten || len(known) > 1
		// by which the bed can be made again as it is; it names nobody
		record.Companies[name] = known[:min(len(known), 1)]
	}
	if !forgotten {
		return nil // there may be no folder of beds any more
	}
	return record.save()
}
