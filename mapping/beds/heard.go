// The ledger of a project: every take, every bed it is in, and when it is heard there in the notes of the map.

package beds

import (
	"cmp"
	"context"
	"path"
	"path/filepath"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/project"
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
	Bed      string    `json:"bed"`
	BedSec   float64   `json:"bed_sec"`
	At       []HeardAt `json:"at"`     // each place of the dynamics at which the bed sounds, the lowest first
	Buried   bool      `json:"buried"` // at none of them it is heard for as long as is asked for
	RaisedDB float64   `json:"raised_db"`
	// Bells are by what it is brought out where it is nearest to being heard.
	Bells         []arrange.Bell `json:"bells"`
	Tuned         bool           `json:"tuned"`
	MoveSemitones float64        `json:"move_semitones"` // from its own pitch, octaves included; 0 if it is not tuned
	TakeFit
}

// HeardAt is how a take fares in the notes of a bed's keys at a place of the dynamics.
type HeardAt struct {
	Dynamics  int              `json:"dynamics"`
	Sec       float64          `json:"heard_sec"` // of each turn, the mean over the keys
	Stretches []ledger.Stretch `json:"stretches"` // of the bed
}

// Sec is for how long of each turn the take is heard in the bed, at the dynamics that suit it.
func (b *BedHeard) Sec() (sec float64) {
	for _, at := range b.At {
		sec = max(sec, at.Sec)
	}
	return sec
}

// Name tells the take from all others.
func (t *TakeHeard) Name() string { return takes.TakeName(t.Path, t.Stretch) }

// Sec is for how long of a turn the take is heard in all its beds together, in each at the dynamics that suit it.
func (t *TakeHeard) Sec() (sec float64) {
	for i := range t.Beds {
		sec += t.Beds[i].Sec()
	}
	return sec
}

// Buried says that the take is heard too little in every bed.
func (t *TakeHeard) Buried() bool {
	return !slices.ContainsFunc(t.Beds, func(b BedHeard) bool { return !b.Buried })
}

// ContributorHeard is how all takes of one contributor fare.
type ContributorHeard struct {
	Contributor string  `json:"contributor"`
	Takes       int     `json:"takes"`
	Beds        int     `json:"beds"`
	Sec         float64 `json:"heard_sec"` // of all takes in all beds
	Buried      int     `json:"buried"`    // takes that are buried everywhere
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
		sums[k].Sec += t.Sec()
		if t.Buried() {
			sums[k].Buried++
		}
	}
	slices.SortStableFunc(sums, func(a, b ContributorHeard) int { return cmp.Compare(a.Sec, b.Sec) })
	return sums
}

// heard gathers the entries of the ledger, one for every take that is in a bed, as the map plays the beds.
func (b *builder) heard(ctx context.Context) ([]TakeHeard, error) {
	judged, err := b.judge(ctx)
	if err != nil {
		return nil, err
	}
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
			heard := BedHeard{Bed: r.Slot.String(), RaisedDB: entry.Parts[k].RaisedDB,
				Bells: entry.Parts[k].Bells, Tuned: take.Move != nil, TakeFit: take.TakeFit}
			heard.Fare(judged.Of(path.Join(project.BedsFolder, heard.Bed), k))
			heard.Buried = heard.Sec() < ledger.Wanted(b.report.Settings.Limits.HeardSec[0], heard.BedSec,
				b.report.Settings.Beds.OverlapSec)
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
	return kept, nil
}

// judge listens to the map that lies there. One that cannot be read, or whose beds cannot, was edited by hand and
// tells nothing.
func (b *builder) judge(ctx context.Context) (*ledger.Ledger, error) {
	m, err := mapping.Load(b.report.MapPath)
	if err != nil {
		return &ledger.Ledger{}, nil
	}
	stems, err := ReadStems(b.dir, m.BedPaths())
	if err != nil {
		return nil, err
	}
	for i := range stems {
		b.asMade(&stems[i])
	}
	in, err := Instrument(b.dir, m, stems)
	if err != nil {
		return &ledger.Ledger{}, nil
	}
	return in.Judge(ctx, nil)
}

// asMade has a bed that was edited by hand judged as it was made: what was put in since nobody knows.
func (b *builder) asMade(s *Stems) {
	entry := b.record.entry(s.Bed)
	if s.Courses != nil || entry == nil {
		return
	}
	courses, err := readCourses(filepath.Join(b.dir, filepath.FromSlash(s.Bed)), entry.Hash)
	if err == nil && len(courses) == len(entry.Takes) {
		s.Takes, s.Courses, s.Rows = entry.Takes, courses, make([]takes.Row, len(courses))
	}
}

// Fare notes how a take fares; of beds that the map does not play, nil, nothing is known.
func (b *BedHeard) Fare(take *ledger.Take) {
	b.At = []HeardAt{}
	if take == nil {
		return
	}
	b.BedSec = take.BedSec
	for d := range take.Fares {
		if fare := &take.Fares[d]; len(fare.Keys) > 0 {
			b.At = append(b.At, HeardAt{ledger.Dynamics[d], fare.Sec(), fare.Stretches})
		}
	}
}

// renamed finds the row of a take that has another name by now: its index, -1 for none.
func (b *builder) renamed(take TakeInBed) int {
	return slices.IndexFunc(b.report.Rows, func(row *takes.Row) bool {
		return take.Hash != "" && row.Hash == take.Hash && row.Stretch == take.Stretch
	})
}
