// The table of HOWTO.txt that tells how loud each rank is at each key.

package export

import (
	"fmt"
	"slices"

	"lapstrake/mapping"
)

// keyLevel is keys on which all ranks keep their levels.
type keyLevel struct {
	Keys   string
	Levels []string // of each rank in dB
}

// keyLevels lists the levels of all ranks from the lowest key to the highest; nothing where they are the same all
// over.
func (w *writer) keyLevels() (rows []keyLevel) {
	if !w.levelsDiffer() {
		return nil
	}
	from, levels := 0, []string(nil)
	for key := mapping.LowestKey; key <= mapping.HighestKey+1; key++ {
		now := w.levelsAt(key)
		if slices.Equal(now, levels) {
			continue
		}
		if levels != nil {
			rows = append(rows, keyLevel{w.keysText(from, key-1), levels})
		}
		from, levels = key, now
	}
	return rows
}

// levelsAt are the levels of the ranks at a key; nil where none sounds.
func (w *writer) levelsAt(key int) (levels []string) {
	at := w.Map.ZonesAt(key)
	if len(at) == 0 {
		return nil
	}
	for _, rank := range w.ranks() {
		level := "-"
		for _, i := range at {
			if z := &w.Map.Zones[i]; z.Rank == rank {
				level = fmt.Sprintf("%.2f", w.gainDB(z, key))
			}
		}
		levels = append(levels, level)
	}
	return levels
}

func (w *writer) keysText(low, high int) string {
	name := w.Map.MiddleC.Name
	if low == high {
		return fmt.Sprintf("%s (%d)", name(low), low)
	}
	return fmt.Sprintf("%s to %s (%d to %d)", name(low), name(high), low, high)
}
