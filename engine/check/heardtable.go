// Who is heard as tables and as a picture: everybody, found fault with or not.

package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lapstrake/engine/show"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/takes"
)

// HeardTable tells how all contributors and all takes fare in the notes of a map, those heard least first.
type HeardTable struct {
	Contributors []ContributorHeard `json:"contributors"`
	Placements   []PlacementHeard   `json:"placements"`
}

// ContributorHeard is how one contributor fares where they are heard the longest.
type ContributorHeard struct {
	Contributor string  `json:"contributor"`
	Sec         float64 `json:"heard_sec"` // of a turn, in a note of Key at Dynamics
	Key         int     `json:"key"`
	Dynamics    int     `json:"dynamics"`
}

// PlacementHeard is how one take fares in one bed: means over the bed's keys.
type PlacementHeard struct {
	Take        string      `json:"take"`
	Contributor string      `json:"contributor"`
	Bed         string      `json:"bed"`
	At          []HeardSecs `json:"at"` // each place of the dynamics at which the bed sounds
	// at the best of these, to be heard long enough; null: it is silent at times
	LackDB *float64 `json:"lacks_db"`
}

// HeardSecs is for how long of each turn a take is heard at a place of the dynamics.
type HeardSecs struct {
	Dynamics int     `json:"dynamics"`
	Sec      float64 `json:"heard_sec"`
}

// table lists everybody.
func (l *listening) table() *HeardTable {
	t := &HeardTable{Contributors: []ContributorHeard{}, Placements: []PlacementHeard{}}
	for name, longest := range l.contributors {
		t.Contributors = append(t.Contributors, ContributorHeard{takes.ContributorName(name), longest.Sec, longest.Key,
			longest.Dynamics})
	}
	slices.SortFunc(t.Contributors, func(a, b ContributorHeard) int {
		return cmp.Or(cmp.Compare(a.Sec, b.Sec), cmp.Compare(a.Contributor, b.Contributor))
	})
	sorted := slices.Clone(l.placements)
	slices.SortStableFunc(sorted, func(a, b placement) int {
		_, secA := a.best()
		_, secB := b.best()
		return cmp.Compare(secA, secB)
	})
	for i := range sorted {
		p := &sorted[i]
		row := PlacementHeard{Take: p.take, Contributor: takes.ContributorName(p.Contributor), Bed: p.Bed,
			At: []HeardSecs{}}
		for k, dynamics := range ledger.Dynamics {
			if fare := &p.Fares[k]; len(fare.Keys) > 0 {
				row.At = append(row.At, HeardSecs{dynamics, fare.Sec()})
			}
		}
		best, _ := p.best()
		if lack := p.Fares[best].LackDB(p.wantedSec); !math.IsInf(lack, 0) {
			row.LackDB = &lack
		}
		t.Placements = append(t.Placements, row)
	}
	return t
}

// drawHeard draws over the keyboard how much of their time the takes of each key are heard.
func (l *listening) drawHeard() *show.Curves {
	c := &show.Curves{Title: "Who is heard, over the keyboard", Across: "key", Naming: l.s.m.MiddleC,
		Up: "Takes of the note that are heard, mean share of their time in %"}
	for k, dynamics := range ledger.Dynamics {
		sums, counts := map[int]float64{}, map[int]float64{}
		for i := range l.placements {
			for _, on := range l.placements[i].Fares[k].Keys {
				sums[on.Key] += on.Share
				counts[on.Key]++
			}
		}
		curve := show.Curve{Name: fmt.Sprintf("dynamics %d", dynamics)}
		for key := l.s.lowest; key <= l.s.highest; key++ {
			curve.X, curve.Y = append(curve.X, float64(key)), append(curve.Y, 100*sums[key]/counts[key])
		}
		c.Curves = append(c.Curves, curve)
	}
	return c
}
