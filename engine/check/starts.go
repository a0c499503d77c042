// The starts: cycles that begin at one place change together.

package check

import (
	"context"
	"fmt"
	"slices"

	"lapstrake/mapping"
)

// starts measures how far apart the cycles of common chords begin, and what better starts would gain.
func starts(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.hash(ctx); err != nil {
		return err
	}
	said.Drawings = append(said.Drawings, s.drawStarts())
	key := fmt.Sprintf("starts that spread, %+v, of map %s", s.Settings.Grid, s.hashes[s.MapPath])
	best, _ := cached(s.cache, key, func() (betterStarts, error) { return s.bestStarts(), nil })
	for i, gaps := range s.m.StartGaps(mapping.CommonChords(), s.lowest, s.highest) {
		said.tell(gaps.Chord+": from each cycle's start to the nearest", gaps.MeanTurns, "turns", moreIsBetter)
		said.tell(gaps.Chord+": that by starts that spread", best.Gaps[i].MeanTurns, "turns", neither)
		said.tell(gaps.Chord+": if all were even", gaps.EvenTurns, "turns", neither)
		if gaps.Chord != "one key" {
			continue
		}
		percent := 100 * float64(gaps.Shared) / float64(gaps.Chords)
		said.judge(s.limits.StartSharedPercent, Finding{
			What: "start_shared_percent", Place: Place{Keys: []int{gaps.WorstKey}, Chord: gaps.Chord},
			Figure: percent, Unit: "%",
			Text: fmt.Sprintf("%d of %d keys begin all their cycles at one place, %s among them",
				gaps.Shared, gaps.Chords, s.names(gaps.WorstKey)),
		}, func() string { return fmt.Sprintf("lapstrake map DIR --stagger %s --starts spread", best.By) })
	}
	return nil
}

type betterStarts struct {
	By   mapping.By
	Gaps []mapping.StartGaps
}

// bestStarts spreads the starts by zones and by keys, and takes what keeps triads further apart.
func (s *subject) bestStarts() (best betterStarts) {
	var roots []int
	for _, z := range s.m.Zones {
		roots = append(roots, z.Root)
	}
	for _, by := range []mapping.By{mapping.ByZone, mapping.ByKey} {
		grid := s.Settings.Grid
		grid.StaggerBy = by
		grid = grid.SpreadStarts(roots)
		m := *s.m
		m.Zones = slices.Clone(m.Zones)
		m.TakeStarts(grid)
		gaps := m.StartGaps(mapping.CommonChords(), s.lowest, s.highest)
		if best.Gaps == nil || worth(gaps) > worth(best.Gaps) {
			best = betterStarts{by, gaps}
		}
	}
	return best
}

// worth is how near to even all kinds of chords begin, on average.
func worth(gaps []mapping.StartGaps) (sum float64) {
	for _, g := range gaps {
		sum += g.MeanTurns/g.EvenTurns - float64(g.Shared)/float64(g.Chords)
	}
	return sum / float64(max(len(gaps), 1))
}
