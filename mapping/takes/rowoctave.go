// Whether the octave in a file's name fits what is heard, given how the other files are named.

package takes

import (
	"math"

	"lapstrake/mapping"
)

// octavesOff tells for each key that the file's name may mean by how many octaves the pitch lies above it.
// It is nil where the name tells no note or another one, or the pitch is not sure. Stretched basses
// are up to 70 cents flat.
func (r *Row) octavesOff() []int {
	if !r.Pitch.Sure() || !(r.Pitch.Hz > 0) {
		return nil
	}
	key, cents := r.Pitch.Key()
	var off []int
	for _, named := range nameKeys(r.Path) {
		octaves := (float64(key-named) + cents/100) / 12
		if math.Abs(octaves-math.Round(octaves)) > 0.7/12 {
			return nil
		}
		off = append(off, int(math.Round(octaves)))
	}
	return off
}

// namedBy is the convention by which the file's name is right, "" where it is not, or tells no
// note, or tells it by number.
func (r *Row) namedBy() mapping.Naming {
	if off := r.octavesOff(); len(off) == len(conventions) {
		for i, naming := range conventions {
			if off[i] == 0 {
				return naming
			}
		}
	}
	return ""
}

const (
	fewestNamed = 3 // files that make a convention
	mostStray   = 3 // one in so many may be named by the other
)

// usualNaming is the convention that the files' names follow, "" if that cannot be told.
func (s *Sheet) usualNaming() mapping.Naming {
	fits := map[mapping.Naming]int{}
	for i := range s.Rows {
		if row := &s.Rows[i]; !row.Missing {
			fits[row.namedBy()]++
		}
	}
	c4, c3 := fits[mapping.MiddleC4], fits[mapping.MiddleC3]
	switch {
	case c4 >= fewestNamed && c3*mostStray <= c4:
		return mapping.MiddleC4
	case c3 >= fewestNamed && c4*mostStray <= c3:
		return mapping.MiddleC3
	}
	return ""
}

// wrongOctave says whether the file's name tells the note that is heard in another octave: wrong by
// both conventions, or right by the one that the others do not follow.
func (r *Row) wrongOctave(usual mapping.Naming) bool {
	by := r.namedBy()
	if by == "" {
		return len(r.octavesOff()) > 0 && r.octavesOff()[0] != 0
	}
	return usual != "" && by != usual
}
