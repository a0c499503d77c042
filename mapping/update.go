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

// Update writes the map to path unless the same map is there. A map that was edited by hand stays and is only dated
// anew where beds changed; kept tells so.
func (m *Map) Update(path string, o Updating) (kept bool, err error) {
	edited, err := EditedByHand(path)
	if err != nil {
		return false, err
	}
	kept = edited && !o.Force
	old, _ := os.ReadFile(path)
	data := old
	if !kept {
		if data, err = m.checked(path); err != nil {
			return false, err
		}
	}
	if !o.BedsChanged && bytes.Equal(old, data) {
		return kept, nil // a player need not load it anew
	}
	return kept, whole.Write(path, data)
}
