// Beds that a person edited after a build had made them: how they are known, and what is said of them.

package beds

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"lapstrake/mapping/project"
	"lapstrake/mapping/wav"
)

// EditedBed is a bed that was edited by hand and that the build kept.
type EditedBed struct {
	Bed     string `json:"bed"`            // as a path from the project folder
	Changed bool   `json:"recipe_changed"` // its takes or settings have changed since it was made
	// where it is not as the settings ask for: what was found, what was expected
	Off []string `json:"off"`
}

// String names the bed and what is to be known of it.
func (e EditedBed) String() string {
	words := []string{e.Bed}
	if e.Changed {
		words = append(words, "its takes or settings have changed since it was made")
	}
	return strings.Join(append(words, e.Off...), "; ")
}

// bedFinding is what lies in the place of a recipe's bed.
type bedFinding int

const (
	bedMissing bedFinding = iota // nothing, a bed that was made from something else, or one without its courses
	bedAsMade                    // this recipe's bed
	bedEdited                    // a readable bed that a person changed after it was made
	bedBroken                    // a file that was changed and cannot be read
)

// find looks at what lies in the place of a recipe's bed. broken says why a broken bed cannot be read.
func (record *buildRecord) find(r *recipe, path string) (found bedFinding, broken error) {
	entry := record.Beds[r.Slot.String()]
	if entry == nil {
		return bedMissing, nil
	}
	if !entry.is(path) {
		edited, err := record.edited(r.Slot.String(), path)
		switch {
		case edited:
			return bedEdited, nil
		case err != nil:
			return bedBroken, err
		}
		return bedMissing, nil
	}
	if entry.Recipe != r.key() || len(entry.Parts) != len(r.Parts) || !hasCourses(path, entry.Hash) {
		return bedMissing, nil
	}
	if info, err := os.Stat(path); err == nil {
		entry.ModifiedNs = info.ModTime().UnixNano() // so that its content need not be read again
	}
	entry.hold(r.takes())
	entry.Edit = nil
	return bedAsMade, nil
}

// edited says whether a file that is not as it was made is a person's work. A file that cannot be read as a bed is
// damage, and no edit; err then says why. What a killed build left is neither.
func (record *buildRecord) edited(name, path string) (is bool, err error) {
	if slices.Contains(record.Making, name) {
		return false, nil
	}
	file, err := wav.Open(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, err
	}
	return true, file.Close()
}

// keep notes that a build found a recipe's bed edited and kept it.
func (record *buildRecord) keep(r *recipe, path string) (EditedBed, error) {
	entry := record.Beds[r.Slot.String()]
	if entry.Edit == nil {
		entry.Edit = &keptEdit{}
	}
	entry.Edit.Wanted = entry.underOldNames(r).key()
	if !entry.changed() {
		entry.hold(r.takes())
	}
	kept := EditedBed{Bed: project.BedsFolder + "/" + r.Slot.String(), Changed: entry.changed(), Off: []string{}}
	if err := entry.Edit.stamp(path); err != nil {
		return kept, err
	}
	file, err := wav.Open(path)
	if err != nil {
		return kept, err
	}
	defer file.Close()
	if file.Info.RateHz != r.RateHz {
		kept.Off = append(kept.Off, fmt.Sprintf("found %d Hz, expected %d Hz", file.Info.RateHz, r.RateHz))
	}
	if file.Info.Channels != 2 {
		kept.Off = append(kept.Off, fmt.Sprintf("found %d channels, expected 2", file.Info.Channels))
	}
	if file.Info.Frames != int64(r.Frames) {
		kept.Off = append(kept.Off, fmt.Sprintf("found %d frames, expected %d", file.Info.Frames, r.Frames))
	}
	return kept, nil
}

// changed says whether a bed that was kept since it was edited would be made from something else by now.
func (e *builtBed) changed() bool { return e.Edit != nil && e.Edit.Wanted != e.Recipe }

// underOldNames is a recipe with the names that its takes had when the bed was made: a new name is no change.
func (e *builtBed) underOldNames(r *recipe) *recipe {
	old := *r
	old.Parts = slices.Clone(r.Parts)
	for k := range old.Parts {
		if k < len(e.Takes) && e.Takes[k].Hash == old.Parts[k].Hash {
			old.Parts[k].Path = e.Takes[k].Path
		}
	}
	return &old
}

// isEdited says whether the build kept what a person had edited in a recipe's bed.
func (b *builder) isEdited(r *recipe) bool {
	return slices.ContainsFunc(b.report.Edited, func(kept EditedBed) bool {
		return kept.Bed == project.BedsFolder+"/"+r.Slot.String()
	})
}
