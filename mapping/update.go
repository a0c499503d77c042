// Bringing the map on disk up to date, without undoing what a person edited in it.

package mapping

import (
	"bytes"
	"os"

	"lapstrake/mapping/whole"
)

// Updating says how Update treats a map that is there already.
type Updating struct {
	Force       bool // replace a map that was edited by hand
	BedsChanged bool // a bed has been made since: a player is to load the map anew
}

// Updated is what became of the map that was there.
type Updated struct {
	Kept   bool     // it was edited by hand, and stays
	Nudged int      // zones whose nudges the new map has taken over
	Lost   []string // zones with nudges for which the new map has no place
}

// Update writes the map to path unless the same map is there. A map that was edited by hand stays and is only dated
// anew where beds changed. Nudges that were kept in a generated map go on in the new one, unless o.Force.
func (m *Map) Update(path string, o Updating) (u Updated, err error) {
	edited, err := EditedByHand(path)
	if err != nil {
		return u, err
	}
	u.Kept = edited && !o.Force
	old, _ := os.ReadFile(path)
	data := old
	if !u.Kept {
		if before, err := Parse(old, path); err == nil && !o.Force {
			u.Nudged, u.Lost = m.takeNudges(before)
		}
		if data, err = m.checked(path); err != nil {
			return u, err
		}
	}
	if !o.BedsChanged && bytes.Equal(old, data) {
		return u, nil // a player need not load it anew
	}
	return u, whole.Write(path, data)
}
