// The ledger of a project: every take, every bed it is in, and for how long it is audible there.

package beds

import (
	"slices"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/takes"
)

// TakeHeard is how one take fares in all its beds.
type TakeHeard struct {
	Path string `json:"path"`
	takes.Stretch
	Contributor string     `json:"contributor"`
	Beds        []BedHeard `json:"beds"`
}

// BedHeard is how a take fares in one bed.
type BedHeard struct {
	Bed string `json:"bed"`
	arrange.Heard
	Tuned         bool    `json:"tuned"`
	MoveSemitones float64 `json:"move_semitones"` // from its own pitch, octaves included; 0 if it is not tuned
}

// Name tells the take from all others.
func (t *TakeHeard) Name() string { return takes.TakeName(t.Path, t.Stretch) }

// AudibleSec is how long the take is audible in all its beds together.
func (t *TakeHeard) AudibleSec() (sec float64) {
	for _, b := range t.Beds {
		sec += b.AudibleSec
	}
	return sec
}

// Buried says that the take is as good as inaudible in every bed.
func (t *TakeHeard) Buried() bool {
	return !slices.ContainsFunc(t.Beds, func(b BedHeard) bool { return !b.Heard.Buried() })
}

// ContributorHeard is how all takes of one contributor fare.
type ContributorHeard struct {
	Contributor string  `json:"contributor"`
	Takes       int     `json:"takes"`
	Beds        int     `json:"beds"`
	AudibleSec  float64 `json:"audible_sec"`
	Buried      int     `json:"buried"` // takes that are buried everywhere
}

// ByContributor sums the ledger up, the least heard contributor first.
func ByContributor(all []TakeHeard) []ContributorHeard {
	var sums []ContributorHeard
	at := map[string]int{}
	for i := range all {
		t := &all[i]
		k, found := at[t.Contributor]
		if !found {
			k = len(sums)
			at[t.Contributor] = k
			sums = append(sums, ContributorHeard{Contributor: t.Contributor})
		}
		sums[k].Takes++
		sums[k].Beds += len(t.Beds)
		sums[k].AudibleSec += t.AudibleSec()
		if t.Buried() {
			sums[k].Buried++
		}
	}
	slices.SortStableFunc(sums, func(a, b ContributorHeard) int {
		switch {
		case a.AudibleSec < b.AudibleSec:
			return -1
		case a.AudibleSec > b.AudibleSec:
			return 1
		}
		return 0
	})
	return sums
}

// heard gathers the entries of the ledger, one for every take that is in a bed.
func (b *builder) heard() []TakeHeard {
	all := make([]TakeHeard, len(b.report.Rows))
	for i, row := range b.report.Rows {
		all[i] = TakeHeard{Path: row.Path, Stretch: row.Stretch, Contributor: row.Contributor}
	}
	for i := range b.recipes {
		for k, part := range b.record.parts(&b.recipes[i]) {
			seat := b.report.Assignment.Beds[i][k]
			heard := BedHeard{Bed: b.recipes[i].Slot.String(), Heard: part}
			if heard.Tuned = b.recipes[i].Conform.Tune && b.recipes[i].Parts[k].TakeKey >= 0; heard.Tuned {
				heard.MoveSemitones = seat.MoveSemitones
			}
			all[seat.Index].Beds = append(all[seat.Index].Beds, heard)
		}
	}
	kept := all[:0]
	for _, h := range all {
		if len(h.Beds) > 0 {
			kept = append(kept, h)
		}
	}
	return kept
}
