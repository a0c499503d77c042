// Which beds a grid asks for.

package project

import (
	"slices"

	"lapstrake/mapping"
)

// Roots are the keys that get beds, lowest first: in each rank those whose zones reach between the lowest and the
// highest key. The default grid gives 24, 30 … 114.
func (g GridSettings) Roots() []int {
	var roots []int
	apart := g.Spacing / g.Ranks
	for root := mapping.LowestKey; root <= mapping.HighestKey; root++ {
		low, high := g.Zone(root)
		if (root-g.RootKey)%apart == 0 && low <= g.Highest && high >= g.Lowest {
			roots = append(roots, root)
		}
	}
	return roots
}

// Zone returns the keys that a root serves, as mapping.Generate will lay them among roots a spacing apart.
func (g GridSettings) Zone(root int) (low, high int) {
	switch g.RootAt {
	case mapping.RootBottom:
		return root, root + g.Spacing - 1
	case mapping.RootMiddle:
		return root - g.Spacing/2, root + (g.Spacing-1)/2
	default:
		return root - g.Spacing + 1, root
	}
}

// silentKeys are the keys from the lowest to the highest that no root serves.
func (g GridSettings) silentKeys() []int {
	var silent []int
	roots := g.Roots()
	for key := g.Lowest; key <= g.Highest; key++ {
		if !slices.ContainsFunc(roots, func(root int) bool {
			low, high := g.Zone(root)
			return low <= key && key <= high
		}) {
			silent = append(silent, key)
		}
	}
	return silent
}

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
