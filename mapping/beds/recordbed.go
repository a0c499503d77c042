// A finished bed in the record, and whether the file that lies there is still that bed.

package beds

import (
	"math"
	"os"
	"path/filepath"
	"strings"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
)

// builtBed is a finished bed, as the record knows it.
type builtBed struct {
	Bed        string          `json:"bed"`
	Recipe     string          `json:"recipe"` // the key of what it was made from
	SizeBytes  int64           `json:"size_bytes"`
	ModifiedNs int64           `json:"modified_ns"`
	Hash       string          `json:"sha256"`
	Parts      []arrange.Heard `json:"parts"` // in the order of the recipe's
	Takes      []TakeInBed     `json:"takes"` // the same, by name and content; nil in records of earlier versions

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

// NotAsBuilt lists those of some beds, as paths from the project folder dir, that are not what a build made there:
// they were put there, or changed, by hand.
func NotAsBuilt(dir string, paths []string) (foreign []string, err error) {
	record, err := readRecord(filepath.Join(dir, project.BedsFolder, project.BuiltFile))
	if err != nil {
		return nil, err
	}
	for _, path := range paths {
		name, inFolder := strings.CutPrefix(path, project.BedsFolder+"/")
		if entry := record.Beds[name]; !inFolder || entry == nil || !entry.is(filepath.Join(dir, filepath.FromSlash(path))) {
			foreign = append(foreign, path)
		}
	}
	return foreign, nil
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
