// The grid: which roots there are, which keys each serves, and where the zones begin.

package mapping

import (
	"errors"
	"fmt"
	"slices"

	"lapstrake/mapping/placed"
)

// RootAt says where in its zone the root lies.
type RootAt string

// The places of a root. RootTop only ever tunes a cycle down, RootBottom only up.
const (
	RootTop    RootAt = "top"
	RootMiddle RootAt = "middle"
	RootBottom RootAt = "bottom"
)

// The most ranks, and the widest spacing of a rank in semitones.
const (
	MostRanks            = 12
	MostSpacingSemitones = 48
)

// Grid says how zones tile the keyboard.
type Grid struct {
	Ranks int `toml:"ranks"` // sets of zones, each of which tiles the keyboard
	// between the roots of one rank; 0 takes the roots as they lie, dealt to the ranks in turn
	SpacingSemitones int    `toml:"spacing_semitones"`
	RootKey          int    `toml:"root_key"` // a key that is a root; the others follow from it
	RootAt           RootAt `toml:"root_at"`
	LowestKey        int    `toml:"lowest_key"` // that sounds
	HighestKey       int    `toml:"highest_key"`
	StaggerBy        By     `toml:"stagger_by"`
	// turns, taken one after the other by zones, keys or presses; empty: by the golden ratio
	Starts []float64 `toml:"starts"`
	// each rank begins so much later in its cycles than the rank before it
	RanksApartTurns float64 `toml:"ranks_apart_turns"`
	SeamFadeDB      float64 `toml:"seam_fade_db"` // that each rank falls towards its own seams; 0: not at all
}

// DefaultGrid is two ranks six semitones apart over the 88 keys of a piano, the
// root on top of each octave.
func DefaultGrid() Grid {
	return Grid{
		Ranks: 2, SpacingSemitones: 12, RootKey: MiddleCKey, RootAt: RootTop,
		LowestKey: 21, HighestKey: 108, StaggerBy: ByZone, Starts: DefaultStarts(), SeamFadeDB: 12,
	}
}

// Check returns every problem of the grid, joined, or nil.
func (g Grid) Check() error {
	var all []error
	for _, p := range g.Problems() {
		all = append(all, p)
	}
	return errors.Join(all...)
}

// Problems returns what is wrong with the grid; the fields bear their names in TOML.
func (g Grid) Problems() (problems []placed.Problem) {
	add := func(field, format string, args ...any) {
		problems = append(problems, placed.Problem{Field: field, Text: fmt.Sprintf(format, args...)})
	}
	ranks := g.Ranks >= 1 && g.Ranks <= MostRanks
	if !ranks {
		add("ranks", "%d: expected 1 to %d", g.Ranks, MostRanks)
	}
	switch {
	case g.SpacingSemitones < 0 || g.SpacingSemitones > MostSpacingSemitones:
		add("spacing_semitones", "%d: expected 1 to %d, or 0 to take the roots as they lie", g.SpacingSemitones,
			MostSpacingSemitones)
	case ranks && g.SpacingSemitones%g.Ranks != 0:
		add("spacing_semitones", "%d does not divide into %d ranks: expected a multiple of the ranks, such as %d",
			g.SpacingSemitones, g.Ranks, (g.SpacingSemitones/g.Ranks+1)*g.Ranks)
	}
	switch {
	case g.LowestKey < LowestKey || g.LowestKey > HighestKey:
		add("lowest_key", "%d: expected a MIDI key, 0 to 127", g.LowestKey)
	case g.HighestKey < LowestKey || g.HighestKey > HighestKey:
		add("highest_key", "%d: expected a MIDI key, 0 to 127", g.HighestKey)
	case g.LowestKey > g.HighestKey:
		add("lowest_key", "%d is above highest_key, %d: expected it at or below", g.LowestKey, g.HighestKey)
	}
	if !slices.Contains([]RootAt{RootTop, RootMiddle, RootBottom}, g.RootAt) {
		add("root_at", "%q: expected top, middle or bottom", g.RootAt)
	}
	if !slices.Contains([]By{ByZone, ByKey, ByPress}, g.StaggerBy) {
		add("stagger_by", "%q: expected zone, key or press", g.StaggerBy)
	}
	for _, start := range g.Starts {
		if err := checkStart(start); err != nil {
			add("starts", "%v", err)
		}
	}
	if !(g.RanksApartTurns >= 0 && g.RanksApartTurns <= 1) {
		add("ranks_apart_turns", "%v: expected turns from 0 to 1", g.RanksApartTurns)
	}
	if !(g.SeamFadeDB >= 0 && g.SeamFadeDB <= MostSeamFadeDB) {
		add("seam_fade_db", "%v: expected 0 to %d dB", g.SeamFadeDB, MostSeamFadeDB)
	}
	return problems
}

// Roots are the keys that get beds, lowest first: in each rank those whose zones reach between the lowest and the
// highest key. The default grid gives 24, 30 … 114. A grid without spacing has none of its own.
func (g Grid) Roots() []int {
	if g.SpacingSemitones == 0 {
		return nil
	}
	var roots []int
	apart := g.SpacingSemitones / g.Ranks
	for root := LowestKey; root <= HighestKey; root++ {
		low, high := g.Zone(root)
		if (root-g.RootKey)%apart == 0 && low <= g.HighestKey && high >= g.LowestKey {
			roots = append(roots, root)
		}
	}
	return roots
}

// Zone returns the keys that a root serves among roots a spacing apart.
func (g Grid) Zone(root int) (low, high int) {
	return g.between(root, root-g.SpacingSemitones, root+g.SpacingSemitones)
}

// between returns the keys that a root serves next to the roots below and above it in its rank.
func (g Grid) between(root, below, above int) (low, high int) {
	switch g.RootAt {
	case RootBottom:
		return root, above - 1
	case RootMiddle:
		// Half-way between two roots belongs to the upper one: down sounds better than up.
		return (below + root + 1) >> 1, (root + above - 1) >> 1
	default:
		return below + 1, root
	}
}

// zoneOf returns the keys that root i of a rank serves: up to its neighbours, and no further than the spacing where
// there is one. Without a spacing the outermost roots serve all keys beyond them.
func (g Grid) zoneOf(roots []int, i int) (low, high int) {
	reach := g.SpacingSemitones
	if reach == 0 {
		reach = 2 * (HighestKey + 1)
	}
	below, above := roots[i]-reach, roots[i]+reach
	if i > 0 {
		below = max(below, roots[i-1])
	}
	if i < len(roots)-1 {
		above = min(above, roots[i+1])
	}
	low, high = g.between(roots[i], below, above)
	return max(low, g.LowestKey), min(high, g.HighestKey)
}

// SilentKeys are the keys from the lowest to the highest that no root of the grid serves.
func (g Grid) SilentKeys() []int {
	var silent []int
	roots := g.Roots()
	for key := g.LowestKey; key <= g.HighestKey; key++ {
		if !slices.ContainsFunc(roots, func(root int) bool {
			low, high := g.Zone(root)
			return low <= key && key <= high
		}) {
			silent = append(silent, key)
		}
	}
	return silent
}

// starts are the starts of the grid; where it has none, one by the golden ratio for each zone of a rank, each key or
// each of eight presses.
func (g Grid) starts() []float64 {
	switch {
	case len(g.Starts) > 0:
		return g.Starts
	case g.StaggerBy == ByKey:
		return GoldenStarts(g.HighestKey - g.LowestKey + 1)
	case g.StaggerBy == ByPress:
		return GoldenStarts(8)
	}
	return GoldenStarts(16)
}
