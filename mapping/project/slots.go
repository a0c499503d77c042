// Which beds the settings ask for.

package project

import (
	"lapstrake/mapping"
)

// Slots are the beds that the settings ask for: by root, then layer, the quietest first, then strand.
func (s *Settings) Slots() []mapping.BedName {
	var slots []mapping.BedName
	for _, root := range s.Grid.Roots() {
		for _, layer := range s.Project.Layers {
			for _, strand := range s.Project.Strands {
				slots = append(slots, mapping.BedName{Layer: layer, Strand: strand, Root: root})
			}
		}
	}
	return slots
}

// BedAt is the finished bed of a slot, where a build puts it.
func BedAt(slot mapping.BedName) mapping.Bed {
	return mapping.Bed{BedName: slot, Path: BedsFolder + "/" + slot.String()}
}
