// A finished bed in the record, and whether the file that lies there is still that bed or was edited since.

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
	Bed    string `json:"bed"`
	Recipe string `json:"recipe"` // the key of what it was made from
	fileStamp
	Parts []arrange.Laid `json:"parts"` // in the order of the recipe's
	Takes []TakeInBed    `json:"takes"` // the same, by name and content; nil in records of earlier versions
	// Edit is the file as the last build found it when a person had edited it; nil where nobody had.
	Edit *keptEdit `json:"edit,omitempty"`

	LoudnessLUFS   float64  `json:"loudness_lufs"`
	ShortTermMinLU *float64 `json:"short_term_min_lu"` // null: shorter than 3 s
	ShortTermMaxLU *float64 `json:"short_term_max_lu"`
	TruePeakDBTP   float64  `json:"true_peak_dbtp"`
	MonoLossDB     float64  `json:"mono_loss_db"`
}

// fileStamp is what a file was at one time.
type fileStamp struct {
	SizeBytes  int64  `json:"size_bytes"`
	ModifiedNs int64  `json:"modified_ns"`
	Hash       string `json:"sha256"`
}

// keptEdit is a bed edited by hand that a build kept.
type keptEdit struct {
	fileStamp
	Wanted string `json:"wanted"` // the key of the recipe that the build would have made the bed from
}

// known is nil for NaN, which JSON has no word for.
func known(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}

// is says whether a file is still what it was: by its size and time, or, where a copy of the project has lost the
// time, by its content.
func (s *fileStamp) is(path string) bool {
	info, err := os.Stat(path)
	if err != nil || info.Size() != s.SizeBytes {
		return false
	}
	if info.ModTime().UnixNano() == s.ModifiedNs {
		return true
	}
	hash, err := decode.Hash(path)
	return err == nil && hash == s.Hash
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
		if entry := record.Beds[name]; !inFolder || entry == nil ||
			!entry.is(filepath.Join(dir, filepath.FromSlash(path))) {
			foreign = append(foreign, path)
		}
	}
	return foreign, nil
}

// ChangedSinceBuild lists those of some beds, as paths from the project folder dir, that are neither what the last
// build made nor what it found edited by hand and kept. Beds that no build made, and files that are missing, are not
// listed. unfinished says that a build was broken off before it wrote the map.
func ChangedSinceBuild(dir string, paths []string) (changed []string, unfinished bool, err error) {
	record, err := readRecord(filepath.Join(dir, project.BedsFolder, project.BuiltFile))
	if err != nil {
		return nil, false, err
	}
	for _, path := range paths {
		file := filepath.Join(dir, filepath.FromSlash(path))
		entry := record.entry(path)
		if _, err := os.Stat(file); err != nil || entry == nil || entry.is(file) || entry.Edit != nil &&
			entry.Edit.is(file) {
			continue
		}
		changed = append(changed, path)
	}
	return changed, record.Unfinished, nil
}

// stamp notes what the file is now. A file of the same size and time is not read again.
func (s *fileStamp) stamp(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	if s.Hash != "" && s.SizeBytes == info.Size() && s.ModifiedNs == info.ModTime().UnixNano() {
		return nil
	}
	s.SizeBytes, s.ModifiedNs = info.Size(), info.ModTime().UnixNano()
	s.Hash, err = decode.Hash(path)
	return err
}
