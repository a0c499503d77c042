// Which parts of the table an export consists of.

package export

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping/wav"
)

// Parts are the names of the parts that an export consists of, in any order.
type Parts []string

// PartNames lists the names of all parts.
func PartNames() []string { return namesOf(func(*part) bool { return true }) }

// UsualParts are the parts that an export consists of where nothing else is asked for.
func UsualParts() Parts { return namesOf(func(p *part) bool { return p.usual }) }

func namesOf(wanted func(*part) bool) (names []string) {
	for i := range parts {
		if wanted(&parts[i]) {
			names = append(names, parts[i].name)
		}
	}
	return names
}

// ParseParts reads the names of parts. Space around a name is left out; no name and an unknown name are errors.
func ParseParts(names []string) (Parts, error) {
	chosen := make(Parts, len(names))
	for i, name := range names {
		chosen[i] = strings.TrimSpace(name)
	}
	return chosen, chosen.check()
}

func (p Parts) check() error {
	known := PartNames()
	if len(p) == 0 {
		return fmt.Errorf("nothing named: expected some of %s", strings.Join(known, ", "))
	}
	for _, name := range p {
		if !slices.Contains(known, name) {
			return fmt.Errorf("%q: expected some of %s", name, strings.Join(known, ", "))
		}
	}
	return nil
}

// Has says whether the part of this name is among them.
func (p Parts) Has(name string) bool { return slices.Contains(p, name) }

// HasAny says whether one of the parts of these names is among them.
func (p Parts) HasAny(names ...string) bool { return slices.ContainsFunc(names, p.Has) }

// SetParts are the parts that are sets of files.
func SetParts() []string { return namesOf((*part).isFolder) }

// Refusing lists those of the parts that cannot hold samples of a format.
func (p Parts) Refusing(format wav.Format) (names []string) {
	return namesOf(func(row *part) bool { return p.Has(row.name) && row.integer && format.Encoding().IsFloat() })
}

// chosen lists the rows of the job's parts.
func (j *Job) chosen() (rows []*part) {
	for i := range parts {
		if j.Parts.Has(parts[i].name) {
			rows = append(rows, &parts[i])
		}
	}
	return rows
}

// folders lists those of the job's parts that are folders with a file for each item.
func (j *Job) folders() []*part {
	return slices.DeleteFunc(j.chosen(), func(p *part) bool { return !p.isFolder() })
}

func (p *part) isFolder() bool { return p.ending != "" }

// fileName is the file of an item in the part's folder, named from the export's folder.
func (p *part) fileName(i *Item) string { return path.Join(p.place, i.Folder, i.Name+p.ending) }

// mayHold says whether the part may have written a file of this name.
func (p *part) mayHold(name string) bool {
	if !p.isFolder() {
		own := path.Dir(p.place)
		inside := p.within != "" && path.Dir(name) == path.Join(own, p.within) && path.Ext(name) == soundEnding
		return name == p.place || inside || path.Dir(name) == own && slices.Contains(p.beside, path.Base(name))
	}
	within, is := strings.CutPrefix(name, p.place+"/")
	return is && strings.Count(within, "/") <= 1 && strings.HasSuffix(within, p.ending) // once without folders in it
}

// fileAt is a file of an export.
type fileAt struct {
	dir  string // the export's folder
	name string // from there, with forward slashes
}

func (f fileAt) path() string { return filepath.Join(f.dir, filepath.FromSlash(f.name)) }
