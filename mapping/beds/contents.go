// What the beds that a map plays hold, as the record of the build and the ledger tell.

package beds

import (
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/beds/clean"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
)

// Contents is what one bed of a map holds.
type Contents struct {
	Bed    string      `json:"bed"`    // as a path from the project folder
	Takes  []TakeInBed `json:"takes"`  // nil: nobody knows
	Edited bool        `json:"edited"` // changed by hand after a build had made it
	// Unfinished says that a build was broken off before it noted this bed, which then counts as edited: what the
	// record tells of it may be of the bed before.
	Unfinished bool `json:"-"`
	// Changed says that the last build found the bed edited by hand and kept it, though its takes or settings had
	// changed since it was made.
	Changed bool `json:"recipe_changed"`
	Old     bool `json:"old"` // the last build does not make this bed any more
}

// TakeInBed is a take that a bed was made from.
type TakeInBed struct {
	Path string `json:"path"`
	takes.Stretch
	Hash string   `json:"sha256"`                    // "" in records of earlier versions
	Move *float64 `json:"moved_semitones,omitempty"` // nil: not tuned
	TakeFit
	arrange.Beating
}

// TakeFit is how a take was made for a bed and lies on the harmonics of its root; see clean.Fit.
type TakeFit struct {
	// moved to where its tones fit best: it has no pitch to be tuned by
	Fitted    bool    `json:"fitted,omitempty"`
	OffShare  float64 `json:"off_grid,omitempty"`   // of its strong tones, 0 to 1, before anything was lowered
	LoweredDB float64 `json:"lowered_db,omitempty"` // by how much its tones off the grid were lowered
	LeftShare float64 `json:"left_off,omitempty"`   // of its strong tones, off the grid then
	// for the builder: too much of it strays, and it is there as noise is
	Waits        bool `json:"waits,omitempty"`
	MendedClicks int  `json:"mended_clicks,omitempty"` // of the take, before it was levelled
}

// ReadContents tells what some beds hold, given as paths from the project folder dir. A bed is known by its size and
// time, else by its hash, under another name too.
func ReadContents(dir string, paths []string) ([]Contents, error) {
	record, err := readRecord(filepath.Join(dir, project.BedsFolder, project.BuiltFile))
	if err != nil {
		return nil, err
	}
	all := make([]Contents, len(paths))
	for i, bed := range paths {
		all[i] = record.contents(dir, bed)
	}
	return all, nil
}

// contents tells what the record knows of one bed.
func (record *buildRecord) contents(dir, bed string) Contents {
	c := Contents{Bed: bed}
	file := filepath.Join(dir, filepath.FromSlash(bed))
	own := record.entry(bed)
	entry := own
	if own == nil || !own.is(file) {
		if other := record.sameContent(file); other != nil {
			entry = other
		}
		c.Edited = own != nil
		c.Unfinished = own != nil && slices.Contains(record.Making, own.Bed)
		c.Changed = own != nil && own.changed()
	}
	if entry == nil {
		return c
	}
	c.Takes = entry.heldTakes()
	c.Old = !record.wants(path.Base(bed)) || !strings.HasPrefix(bed, project.BedsFolder+"/")
	return c
}

// entry is what the record holds of a bed by its name; nil where it holds nothing.
func (record *buildRecord) entry(bed string) *builtBed {
	name, inFolder := strings.CutPrefix(bed, project.BedsFolder+"/")
	if !inFolder {
		return nil
	}
	entry := record.Beds[name]
	if entry != nil {
		entry.Bed = name
	}
	return entry
}

// sameContent finds the bed of the record that a file is a copy of. Only a file of the same size is read.
func (record *buildRecord) sameContent(file string) *builtBed {
	info, err := os.Stat(file)
	if err != nil {
		return nil
	}
	hash := ""
	for _, entry := range record.Beds {
		if entry.SizeBytes != info.Size() {
			continue
		}
		if hash == "" {
			if hash, err = decode.Hash(file); err != nil {
				return nil
			}
		}
		if entry.Hash == hash {
			return entry
		}
	}
	return nil
}

// wants says whether the last build makes a bed of this name. A record that tells nothing of the last build wants all.
func (record *buildRecord) wants(name string) bool {
	if record.Answer == nil {
		return true
	}
	for i, slot := range record.Answer.Slots {
		if slot.String() == name {
			return i < len(record.Answer.Beds) && len(record.Answer.Beds[i]) > 0
		}
	}
	return false
}

// heldTakes lists the takes of a bed; nil where the record is of an earlier version.
func (e *builtBed) heldTakes() []TakeInBed {
	var all []TakeInBed
	for i, take := range e.Takes {
		if i < len(e.Parts) {
			take.Beating = e.Parts[i].Beating
		}
		all = append(all, take)
	}
	return all
}

// hold names the takes of a bed as they are called now; how they lie in it stays as it was when the bed was made.
func (e *builtBed) hold(now []TakeInBed) {
	for i := range min(len(now), len(e.Takes)) {
		now[i].TakeFit = e.Takes[i].TakeFit
		if now[i].Fitted {
			now[i].Move = e.Takes[i].Move
		}
	}
	e.Takes = now
}

// took notes how a take lies in its bed.
func (t *TakeInBed) took(done *clean.Conformed) {
	fit := done.Fit
	t.TakeFit = TakeFit{fit.Fitted, fit.OffShare, fit.LoweredDB, fit.LeftShare, fit.Waits, done.Clicks}
	if fit.Fitted {
		t.Move = &fit.MoveSemitones
	}
}

// takes lists what the recipe's bed is made from.
func (r *recipe) takes() []TakeInBed {
	all := make([]TakeInBed, len(r.Parts))
	for i, part := range r.Parts {
		all[i] = TakeInBed{Path: part.Path, Stretch: part.stretch(), Hash: part.Hash, Move: part.moved}
	}
	return all
}
