// Whether what a map plays is what the take sheet, as it is now, lets sound.

package beds

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/terms"
)

// Unwanted is a take that sounds in a map although the sheet does not let it.
type Unwanted struct {
	Take        string   `json:"take"`
	Contributor string   `json:"contributor"`
	Why         string   `json:"why"`
	Beds        []string `json:"beds"` // of the map, as paths from the project folder
}

// String names the take, its reason and its beds.
func (u Unwanted) String() string {
	return fmt.Sprintf("%s (%s) sounds in %s", u.Take, u.Why, strings.Join(u.Beds, ", "))
}

// Objections compares a map with the sheet and the settings.
type Objections struct {
	Unwanted []Unwanted `json:"unwanted"` // by path
	Old      []OldBed   `json:"old"`      // beds that the last build does not make
	Edited   []OldBed   `json:"edited"`   // beds that were edited by hand after they were made
}

// Outdated lists the beds that were edited by hand and whose takes or settings have changed since they were made.
func (o *Objections) Outdated() (all []OldBed) {
	for _, edited := range o.Edited {
		if edited.Changed {
			all = append(all, edited)
		}
	}
	return all
}

// OldBed is a bed that the map plays and that is not as a build would make it.
type OldBed struct {
	Contents
	Zones []string `json:"zones"` // the keys that play it, such as "G3 to C4"
}

// String names the bed, its keys and its takes.
func (o OldBed) String() string {
	var names []string
	for _, take := range o.Takes {
		names = append(names, take.Path)
	}
	if names == nil {
		names = []string{"takes that no record names"}
	}
	return fmt.Sprintf("%s on %s holds %s", o.Bed, strings.Join(o.Zones, ", "), strings.Join(names, ", "))
}

// Compare finds the takes that sound in the map m of the project in dir although its sheet, as it is now, does not let
// them, and the beds of the map that no recipe stands behind any more. A project without a sheet, made from finished
// beds, has neither.
func Compare(dir string, m *mapping.Map) (*Objections, error) {
	objections := &Objections{Unwanted: []Unwanted{}, Old: []OldBed{}, Edited: []OldBed{}}
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if errors.Is(err, fs.ErrNotExist) {
		return objections, nil
	}
	if err != nil {
		return nil, err
	}
	contents, err := ReadContents(dir, m.BedPaths())
	if err != nil {
		return nil, err
	}
	at := map[string]int{}
	for _, c := range contents {
		switch {
		case c.Old:
			objections.Old = append(objections.Old, OldBed{c, zonesOf(m, c.Bed)})
		case c.Edited || c.Changed:
			objections.Edited = append(objections.Edited, OldBed{c, zonesOf(m, c.Bed)})
		}
		for _, take := range c.Takes {
			row := rowOf(sheet, take)
			why := whyUnwanted(row, settings.Project.RequireConsent)
			if why == "" {
				continue
			}
			k, found := at[take.Path]
			if !found {
				k = len(objections.Unwanted)
				at[take.Path] = k
				u := Unwanted{Take: take.Path, Why: why}
				if row != nil {
					u.Contributor = row.Contributor
				}
				objections.Unwanted = append(objections.Unwanted, u)
			}
			objections.Unwanted[k].Beds = append(objections.Unwanted[k].Beds, c.Bed)
		}
	}
	slices.SortFunc(objections.Unwanted, func(a, b Unwanted) int { return strings.Compare(a.Take, b.Take) })
	return objections, nil
}

// rowOf finds the row of a take: by its path and content, then by its content, since takes are renamed, then by its
// path. Of several rows about one file, that of the take's stretch is meant; the record of an earlier version does not
// know stretches, and then the first row that is used.
func rowOf(sheet *takes.Sheet, take TakeInBed) *takes.Row {
	var best *takes.Row
	most := 0
	for i := range sheet.Rows {
		row := &sheet.Rows[i]
		fits := 0
		if take.Hash != "" && row.Hash == take.Hash {
			fits += 8
		}
		if row.Path == take.Path {
			fits += 4
		}
		if fits == 0 {
			continue
		}
		if row.Stretch == take.Stretch {
			fits += 2
		}
		if row.Use {
			fits++
		}
		if fits > most {
			best, most = row, fits
		}
	}
	return best
}

// refusedTerms says why a take whose contributor refused sounds nowhere.
const refusedTerms = "the sheet says terms = refused"

// whyUnwanted says what in a row keeps its take from sounding, whatever can be measured of it: "" for nothing.
func whyUnwanted(row *takes.Row, requireConsent bool) string {
	switch {
	case row == nil:
		return "the sheet has no row for it any more"
	case !row.Use:
		return "the sheet says use = no"
	case row.Terms == terms.Refused:
		return refusedTerms
	case requireConsent && !row.Signed():
		return "credit or consent are missing, and lapstrake.toml says require_consent"
	}
	return ""
}

// zonesOf names the keys of a map that play a bed, as the map names keys.
func zonesOf(m *mapping.Map, bed string) (zones []string) {
	for _, zone := range m.Zones {
		for _, layer := range m.Layers {
			if slices.Contains(zone.Beds[layer], bed) {
				zones = append(zones, m.MiddleC.Name(zone.Low)+" to "+m.MiddleC.Name(zone.High))
				break
			}
		}
	}
	return zones
}
