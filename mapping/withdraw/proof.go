// The proof that nothing in a project holds a withdrawn take any more.

package withdraw

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
)

// Beds are the beds of a project at one time: their content, and the takes that they hold.
type Beds struct {
	hashes map[string]string // by path from the project folder
	held   map[string][]beds.TakeInBed
	edited map[string]bool // by hand, after a build had made them
	unsure map[string]bool // held tells of another sound than lies there: it was edited, or a build was broken off
}

// LookAtBeds reads all beds of a project, those that its map plays elsewhere among them.
func LookAtBeds(dir string) (*Beds, error) {
	var paths []string
	entries, err := os.ReadDir(filepath.Join(dir, project.BedsFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for _, entry := range entries {
		if strings.EqualFold(filepath.Ext(entry.Name()), ".wav") {
			paths = append(paths, project.BedsFolder+"/"+entry.Name())
		}
	}
	if m, err := mapping.Load(filepath.Join(dir, mapping.FileName)); err == nil {
		paths = append(paths, m.BedPaths()...)
	}
	slices.Sort(paths)
	contents, err := beds.ReadContents(dir, slices.Compact(paths))
	if err != nil {
		return nil, err
	}
	b := &Beds{hashes: map[string]string{}, held: map[string][]beds.TakeInBed{},
		edited: map[string]bool{}, unsure: map[string]bool{}}
	for _, c := range contents {
		hash, err := decode.Hash(filepath.Join(dir, filepath.FromSlash(c.Bed)))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		b.hashes[c.Bed], b.held[c.Bed] = hash, c.Takes
		b.edited[c.Bed], b.unsure[c.Bed] = c.Edited && !c.Unfinished, c.Edited
	}
	return b, nil
}

// RemoveEdited deletes the beds that were edited by hand and hold one of some takes, which a build would keep; the
// next build makes them anew. It lists them.
func (b *Beds) RemoveEdited(dir string, gone []Take) (removed []string, err error) {
	for _, bed := range b.holding(gone) {
		if !b.edited[bed] {
			continue
		}
		err := os.Remove(filepath.Join(dir, filepath.FromSlash(bed)))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return removed, err
		}
		removed = append(removed, bed)
	}
	return removed, nil
}

// holding lists the beds that hold one of some takes, by content or, where that is not known, by path.
func (b *Beds) holding(gone []Take) (paths []string) {
	for bed, held := range b.held {
		if slices.ContainsFunc(held, func(in beds.TakeInBed) bool {
			return slices.ContainsFunc(gone, func(t Take) bool {
				return in.Hash != "" && in.Hash == t.Hash || in.Hash == "" && in.Path == t.Path
			})
		}) {
			paths = append(paths, bed)
		}
	}
	slices.Sort(paths)
	return paths
}

// Proof is what was checked, and what was found.
type Proof struct {
	Files   int      `json:"files_searched"`
	Remade  []string `json:"remade"`  // beds that held a take, and are another sound now
	Removed []string `json:"removed"` // beds that held a take, and are gone
	Same    int      `json:"same"`    // beds that are the same byte for byte
	// beds that held none, and were made again since other takes moved into them
	Rearranged []string `json:"rearranged"`
	// what still holds or names a take, each with its place; empty: it is proved
	Remains []string `json:"remains"`
	States  []string `json:"in_old_states"` // earlier states of sheet and map that name a take; they hold no sound
}

// Prove compares the beds from before with those of now, and searches every file of the project outside of the folder
// of withdrawn takes: for the recordings by their hashes, and for their paths and hashes in texts.
func Prove(dir string, gone []Take, before *Beds) (*Proof, error) {
	after, err := LookAtBeds(dir)
	if err != nil {
		return nil, err
	}
	p := &Proof{Remade: []string{}, Removed: []string{}, Rearranged: []string{}, Remains: []string{},
		States: []string{}}
	held, holds := before.holding(gone), after.holding(gone)
	for bed, hash := range before.hashes {
		now, there := after.hashes[bed]
		switch didHold := slices.Contains(held, bed); {
		case didHold && !there:
			p.Removed = append(p.Removed, bed)
		case didHold && now != hash:
			p.Remade = append(p.Remade, bed)
		case didHold && before.unsure[bed] && !after.unsure[bed] && !slices.Contains(holds, bed):
			p.Same++ // a withdrawal that was broken off had made it anew already
		case didHold:
			p.Remains = append(p.Remains, bed+": is the very bed that held a withdrawn take")
		case now == hash:
			p.Same++
		case there:
			p.Rearranged = append(p.Rearranged, bed)
		}
	}
	for _, bed := range holds {
		if now := after.hashes[bed]; before.hashes[bed] != now {
			p.Remains = append(p.Remains, bed+": holds a withdrawn take")
		}
	}
	if err := p.search(dir, gone); err != nil {
		return nil, err
	}
	for _, list := range [][]string{p.Remade, p.Removed, p.Rearranged, p.Remains, p.States} {
		slices.Sort(list)
	}
	return p, nil
}

const (
	// statesPrefix begins the names of hidden folders that keep earlier states of sheet, settings and map.
	statesPrefix  = ".lapstrake-states"
	mostTextBytes = 64 << 20
)

// texts are the endings of files that may name a take, by its path or its hash.
var texts = append(strings.Fields(".csv .json .toml .txt .md .part .bak .html"), beds.CoursesSuffix)

func (p *Proof) search(dir string, gone []Take) error {
	sizes := map[int64]bool{}
	for _, take := range gone {
		if info, err := os.Stat(filepath.Join(dir, filepath.FromSlash(take.Kept))); err == nil && take.Kept != "" {
			sizes[info.Size()] = true
		}
	}
	return filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		inside, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		inside = filepath.ToSlash(inside)
		if entry.IsDir() && inside == project.WithdrawnFolder {
			return fs.SkipDir
		}
		if !entry.Type().IsRegular() {
			return nil
		}
		p.Files++
		if strings.HasPrefix(entry.Name(), ".") && strings.HasSuffix(entry.Name(), ".part") {
			p.Remains = append(p.Remains, inside+": is left over from work that was broken off, and may hold anything")
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		if sizes[info.Size()] {
			hash, err := decode.Hash(path)
			if err != nil {
				return err
			}
			if slices.ContainsFunc(gone, func(t Take) bool { return t.Hash == hash }) {
				p.Remains = append(p.Remains, inside+": is a copy of a withdrawn take")
			}
		}
		return p.searchText(path, inside, info.Size(), gone)
	})
}

// searchText looks for paths and hashes in what may be a text.
func (p *Proof) searchText(path, inside string, size int64, gone []Take) error {
	if !slices.Contains(texts, strings.ToLower(filepath.Ext(path))) || size > mostTextBytes {
		return nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	for _, take := range gone {
		if !bytes.Contains(data, []byte(take.Path)) && (take.Hash == "" || !bytes.Contains(data, []byte(take.Hash))) {
			continue
		}
		if strings.HasPrefix(inside, statesPrefix) {
			p.States = append(p.States, inside)
		} else {
			p.Remains = append(p.Remains, inside+": names "+take.Path)
		}
		return nil
	}
	return nil
}
