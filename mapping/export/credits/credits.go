// Package credits finds out whose takes sound in a map, on which keys and for how long, and what their terms allow. It
// joins the take sheet with the ledger of who is heard in which bed. It gives no advice in law.
package credits

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/terms"
)

// Credits are all takes that sound in an instrument.
type Credits struct {
	Takes   []Take   // by credit line, then by path
	Unknown []string // beds of the map whose takes no ledger names, sorted
}

// Take is a take that sounds.
type Take struct {
	Path        string
	Contributor string
	Credit      string // the line to print; "" where the sheet has none
	Title       string
	Consent     string // licence or consent, in the builder's words
	Terms       terms.Terms
	NoRow       bool // the sheet has no row for it any more
	Places      []Place
}

// Place is a bed that a take sounds in, with the keys that play it.
type Place struct {
	Bed      string
	Layer    string
	Strand   string
	Title    string // of the strand, "" where it has none
	Root     int
	Keys     []mapping.KeyRange
	HeardSec float64
}

// Name is whom to credit: the credit line, else the contributor, else takes.Unnamed.
func (c *Take) Name() string {
	if credit := oneLine(c.Credit); credit != "" {
		return credit
	}
	return takes.ContributorName(c.Contributor)
}

// Heard says for how long of a turn the take is heard in all its beds together, and how many beds that are.
func (c *Take) Heard() (sec float64, beds int) {
	seen := map[string]bool{}
	for _, place := range c.Places {
		if !seen[place.Bed] {
			seen[place.Bed] = true
			sec, beds = sec+place.HeardSec, beds+1
		}
	}
	return sec, beds
}

// Read joins sheet and ledger of the project in dir for its map m, of whose beds the first usedSec are used; 0 is all
// of them. A take that does not sound in that is not credited. A project without a sheet, made from finished beds,
// has no credits: Read returns nil. A sheet without a ledger is an error, and so is a sheet or ledger that cannot be
// read.
func Read(dir string, m *mapping.Map, usedSec float64) (*Credits, error) {
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	heard, err := beds.ReadHeard(filepath.Join(dir, project.HeardFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: no ledger of who is heard where, which the credits are made from: run `lapstrake "+
			"build %s`",
			filepath.Join(dir, project.HeardFile), dir)
	}
	if err != nil {
		return nil, err
	}
	foreign, err := beds.NotAsBuilt(dir, m.BedPaths())
	if err != nil {
		return nil, err
	}
	contents, err := beds.ReadContents(dir, m.BedPaths())
	if err != nil {
		return nil, err
	}
	// Of a bed that was edited by hand, the record tells which takes it was made from. They are credited, but nobody
	// knows what was put in since.
	var edited []string
	foreign = slices.DeleteFunc(foreign, func(bed string) bool {
		is := slices.ContainsFunc(contents, func(c beds.Contents) bool {
			return c.Bed == bed && c.Edited &&
				c.Takes != nil
		})
		if is {
			edited = append(edited, bed)
		}
		return is
	})
	old := slices.ContainsFunc(contents, func(c beds.Contents) bool { return c.Old })
	if heard = withOldBeds(heard, contents); usedSec > 0 || old {
		stems, err := beds.ReadStems(dir, m.BedPaths())
		if err == nil {
			heard, err = within(dir, m, heard, stems, usedSec)
		}
		if err != nil {
			return nil, err
		}
	}
	c := join(sheet.Rows, heard, foreign, m)
	c.Unknown = append(c.Unknown, edited...)
	slices.Sort(c.Unknown)
	return c, nil
}

// withOldBeds adds to the ledger the beds that the last build did not make any more, as the record knows them.
func withOldBeds(heard []beds.TakeHeard, contents []beds.Contents) []beds.TakeHeard {
	for _, c := range contents {
		folder, bed := path.Split(c.Bed)
		if !c.Old || path.Clean(folder) != project.BedsFolder {
			continue
		}
		for _, take := range c.Takes {
			at := slices.IndexFunc(heard, func(h beds.TakeHeard) bool { return h.Path == take.Path })
			if at < 0 {
				at = len(heard)
				heard = append(heard, beds.TakeHeard{Path: take.Path})
			}
			heard[at].Beds = append(heard[at].Beds, beds.BedHeard{Bed: bed})
		}
	}
	return heard
}

// join joins rows and ledger. foreign are beds of the map that are not as a build made them: the ledger says nothing
// of those.
func join(rows []takes.Row, heard []beds.TakeHeard, foreign []string, m *mapping.Map) *Credits {
	places := bedPlaces(m)
	known := map[string]bool{}
	c := &Credits{}
	for _, bed := range foreign {
		delete(places, bed)
	}
	for _, h := range heard {
		credited := Take{Path: h.Path, Contributor: h.Contributor, NoRow: true}
		at := slices.IndexFunc(rows, func(r takes.Row) bool { return r.Path == h.Path && r.Stretch == h.Stretch })
		if at < 0 { // its stretch was edited since
			at = slices.IndexFunc(rows, func(r takes.Row) bool { return r.Path == h.Path })
		}
		if at >= 0 {
			row := &rows[at]
			credited.NoRow, credited.Contributor, credited.Credit = false, row.Contributor, row.CreditLine()
			credited.Title, credited.Consent, credited.Terms = row.Title, row.Consent, row.Terms
		}
		for _, b := range h.Beds {
			bed := path.Join(project.BedsFolder, b.Bed)
			known[bed] = true
			for _, place := range places[bed] {
				place.HeardSec = b.Sec()
				credited.Places = append(credited.Places, place)
			}
		}
		if len(credited.Places) > 0 {
			c.Takes = append(c.Takes, credited)
		}
	}
	slices.SortStableFunc(c.Takes, func(a, b Take) int {
		if by := strings.Compare(strings.ToLower(a.Name()), strings.ToLower(b.Name())); by != 0 {
			return by
		}
		return strings.Compare(a.Path, b.Path)
	})
	c.Unknown = append(c.Unknown, foreign...)
	for bed := range places {
		if !known[bed] {
			c.Unknown = append(c.Unknown, bed)
		}
	}
	slices.Sort(c.Unknown)
	return c
}

// bedPlaces finds where each bed of a map sounds: a place for each layer, strand and root, with all its keys.
func bedPlaces(m *mapping.Map) map[string][]Place {
	places := map[string][]Place{}
	for _, zone := range m.Zones {
		for _, layer := range m.Layers {
			for k, bed := range zone.Beds[layer] {
				keys := mapping.KeyRange{Low: zone.Low, High: zone.High}
				same := slices.IndexFunc(places[bed], func(p Place) bool {
					return p.Layer == layer && p.Root == zone.Root && p.Strand == m.Strands[k]
				})
				if same >= 0 {
					places[bed][same].Keys = append(places[bed][same].Keys, keys)
					continue
				}
				places[bed] = append(places[bed], Place{
					Bed: bed, Layer: layer, Strand: m.Strands[k], Title: m.StrandTitle(k), Root: zone.Root,
					Keys: []mapping.KeyRange{keys},
				})
			}
		}
	}
	return places
}
