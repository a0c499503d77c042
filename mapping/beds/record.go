// The build's own ledger: which bed was made from what, so that only what changed is made again.

package beds

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/whole"
)

// buildRecord is what the file holds.
type buildRecord struct {
	Beds   map[string]*builtBed `json:"beds"`
	Takes  []string             `json:"takes"` // the paths of the candidates
	Answer *assign.Assignment   `json:"answer"`

	path    string
	adding  sync.Mutex // beds are finished side by side
	retimed bool       // some entry has another time than in the file
}

// builtBed is a finished bed.
type builtBed struct {
	Bed        string          `json:"bed"`
	Recipe     string          `json:"recipe"` // the key of what it was made from
	SizeBytes  int64           `json:"size_bytes"`
	ModifiedNs int64           `json:"modified_ns"`
	Hash       string          `json:"sha256"`
	Parts      []arrange.Heard `json:"parts"` // in the order of the recipe's

	LoudnessLUFS   float64  `json:"loudness_lufs"`
	ShortTermMinLU *float64 `json:"short_term_min_lu"` // null: shorter than 3 s
	ShortTermMaxLU *float64 `json:"short_term_max_lu"`
	TruePeakDBTP   float64  `json:"true_peak_dbtp"`
	MonoLossDB     float64  `json:"mono_loss_db"`
}

// known is nil for NaN, which JSON has no word for.
func known(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}

// readRecord reads the ledger; one that is missing or broken is empty.
func readRecord(path string) (*buildRecord, error) {
	l := &buildRecord{}
	data, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if json.Unmarshal(data, l) != nil {
		l = &buildRecord{}
	}
	if l.Beds == nil {
		l.Beds = map[string]*builtBed{}
	}
	l.path = path
	return l, nil
}

func (l *buildRecord) save() error {
	data, err := json.MarshalIndent(l, "", " ")
	if err != nil {
		return err
	}
	return whole.Write(l.path, data)
}

// assignment gives takes to beds, with as few changes against the last build as may be: an edited take changes its own
// beds alone.
func (l *buildRecord) assignment(candidates []assign.Candidate, rows []*takes.Row, s *project.Settings) *assign.Assignment {
	o, slots := assign.OptionsOf(s), s.Slots()
	if l.Answer != nil {
		place := map[string]int{}
		for i, row := range rows {
			place[row.Path] = i
		}
		o.Before = l.Answer.Carry(slots, func(take int) (int, bool) {
			if take >= len(l.Takes) {
				return 0, false
			}
			i, found := place[l.Takes[take]]
			return i, found
		})
	}
	l.Answer, l.Takes = assign.Takes(candidates, slots, o), nil
	for _, row := range rows {
		l.Takes = append(l.Takes, row.Path)
	}
	return l.Answer
}

// has says whether a recipe's bed is there as it was made.
func (l *buildRecord) has(r *recipe, path string) bool {
	entry := l.Beds[r.Slot.String()]
	if entry == nil || entry.Recipe != r.key() || len(entry.Parts) != len(r.Parts) {
		return false
	}
	if !entry.is(path) {
		return false
	}
	if info, err := os.Stat(path); err == nil && info.ModTime().UnixNano() != entry.ModifiedNs {
		entry.ModifiedNs, l.retimed = info.ModTime().UnixNano(), true // so that its content need not be read again
	}
	return true
}

// saveTimes saves what has learned the time of a bed, and nothing else.
func (l *buildRecord) saveTimes() error {
	if !l.retimed {
		return nil
	}
	return l.save()
}

// is says whether a file is the bed as it was made: by its time, or, where a copy of the project has lost that, by its
// content.
func (e *builtBed) is(path string) bool {
	info, err := os.Stat(path)
	if err != nil || info.Size() != e.SizeBytes {
		return false
	}
	if info.ModTime().UnixNano() == e.ModifiedNs {
		return true
	}
	hash, err := decode.Hash(path)
	return err == nil && hash == e.Hash
}

// NotAsBuilt lists those of some beds, as paths from the project folder dir, that are not what a build made there: they were
// put there, or changed, by hand.
func NotAsBuilt(dir string, paths []string) (foreign []string, err error) {
	l, err := readRecord(filepath.Join(dir, project.BedsFolder, project.BuiltFile))
	if err != nil {
		return nil, err
	}
	for _, path := range paths {
		name, inFolder := strings.CutPrefix(path, project.BedsFolder+"/")
		if entry := l.Beds[name]; !inFolder || entry == nil || !entry.is(filepath.Join(dir, filepath.FromSlash(path))) {
			foreign = append(foreign, path)
		}
	}
	return foreign, nil
}

// forget drops beds of earlier builds that are not wanted any more, with their files; files that no build made stay.
func (l *buildRecord) forget(dir string, wanted []recipe) error {
	had := len(l.Beds)
	for name, entry := range l.Beds {
		if slices.ContainsFunc(wanted, func(r recipe) bool { return r.Slot.String() == name && len(r.Parts) > 0 }) {
			continue
		}
		path := filepath.Join(dir, project.BedsFolder, name)
		if entry.is(path) {
			os.Remove(path)
		}
		delete(l.Beds, name)
	}
	if len(l.Beds) == had {
		return l.saveTimes()
	}
	return l.save()
}

// stamp notes what the file is now.
func (e *builtBed) stamp(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	e.SizeBytes, e.ModifiedNs = info.Size(), info.ModTime().UnixNano()
	e.Hash, err = decode.Hash(path)
	return err
}

// add notes a finished bed and saves the record, so that a build that is killed need not make it again. It may be called
// from several goroutines.
func (l *buildRecord) add(entry *builtBed) error {
	l.adding.Lock()
	defer l.adding.Unlock()
	l.Beds[entry.Bed] = entry
	return l.save()
}

// parts tells how each part of a recipe is heard.
func (l *buildRecord) parts(r *recipe) []arrange.Heard {
	if entry := l.Beds[r.Slot.String()]; entry != nil {
		return entry.Parts
	}
	return nil
}

// What a bed is held to, beside its own settings (common practice).
const (
	loudnessLU   = 0.5 // off its target, either way
	mostMonoLoss = 3.0
)

// unevenness says what a bed misses.
func (l *buildRecord) unevenness(r *recipe) (words []string) {
	e := l.Beds[r.Slot.String()]
	if e == nil || len(r.Parts) == 0 {
		return nil
	}
	say := func(format string, args ...any) { words = append(words, e.Bed+": "+fmt.Sprintf(format, args...)) }
	if off := e.LoudnessLUFS - r.Arrange.TargetLUFS; math.Abs(off) > loudnessLU {
		say("loudness %.1f LUFS, expected %.1f", e.LoudnessLUFS, r.Arrange.TargetLUFS)
	}
	if e.ShortTermMinLU != nil && (*e.ShortTermMinLU < -r.Arrange.SteadyLU || *e.ShortTermMaxLU > r.Arrange.SteadyLU) {
		say("short-term loudness from %+.1f to %+.1f LU, expected within %.1f", *e.ShortTermMinLU, *e.ShortTermMaxLU, r.Arrange.SteadyLU)
	}
	if e.TruePeakDBTP > r.Arrange.CeilingDBTP {
		say("true peak %.1f dBTP, expected at most %.1f", e.TruePeakDBTP, r.Arrange.CeilingDBTP)
	}
	if e.MonoLossDB > mostMonoLoss {
		say("the mono sum loses %.1f dB, expected less than %.0f", e.MonoLossDB, mostMonoLoss)
	}
	return words
}
