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
	TakeFit
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
	at := map[string]int{}
	for i := range all {
		at[all[i].Name()] = i
	}
	for i := range b.recipes {
		r := &b.recipes[i]
		entry := b.record.Beds[r.Slot.String()]
		if entry == nil || len(r.Parts) == 0 {
			continue
		}
		if b.isEdited(r) {
			if copied := b.record.sameContent(b.bedPath(r.Slot)); copied != nil {
				entry = copied
			}
		}
		for k, take := range entry.Takes {
			name := takes.TakeName(take.Path, take.Stretch)
			index, found := at[name]
			if !found {
				index = b.renamed(take)
				found = index >= 0
			}
			if !found { // in a bed that was edited by hand, and not used any more
				index = len(all)
				at[name] = index
				all = append(all, TakeHeard{Path: take.Path, Stretch: take.Stretch})
			}
			heard := BedHeard{Bed: r.Slot.String(), Heard: entry.Parts[k], Tuned: take.Move != nil,
				TakeFit: take.TakeFit}
			if heard.Tuned {
				heard.MoveSemitones = *take.Move
			}
			all[index].Beds = append(all[index].Beds, heard)
		}
	}
	kept := []TakeHeard{}
	for _, h := range all {
		if len(h.Beds) > 0 {
			kept = append(kept, h)
		}
	}
	return kept
}

// renamed finds the row of a take that has another name by now: its index, -1 for none.
func (b *builder) renamed(take TakeInBed) int {
	return slices.IndexFunc(b.report.Rows, func(row *takes.Row) bool {
		return take.Hash != "" && row.Hash == take.Hash && row.Stretch == take.Stretch
	})
}
