// The contributor sheet: contributors.csv, what the builder decides for all takes of a contributor.

package takes

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping/project"
)

// contributorColumns are what the sheet holds; they mean what they mean in takes.csv.
var contributorColumns = []string{"contributor", "credit", "gain_db", "favour_db", "remarks"}

// contributorColumn says whom a row of the sheet is about.
var contributorColumn = columnNamed("contributor")

// ofContributor is what the builder says of all takes of a contributor.
type ofContributor struct {
	credit           string // "": what the take's row says
	gainDB, favourDB float64
}

// columnNamed finds a column that a sheet of this kind has.
func (s *Sheet) columnNamed(title string) *column {
	known := columnNamed(title)
	if s.ofContributors && known != nil && !slices.Contains(contributorColumns, known.name) {
		return nil
	}
	return known
}

// newContributors is an empty sheet in the dialect of the take sheet.
func newContributors(takes *Sheet) *Sheet {
	s := &Sheet{options: takes.options, dialect: takes.dialect, ofContributors: true}
	for _, name := range contributorColumns {
		s.columns = append(s.columns, sheetColumn{name, columnNamed(name), -1})
	}
	return s
}

// readContributors reads the sheet in a folder; nil where there is none.
func readContributors(dir string, o SheetOptions) (*Sheet, error) {
	path := filepath.Join(dir, project.ContributorsFile)
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", path, err)
	}
	return (&Sheet{options: o.settled(), ofContributors: true}).parse(data, path)
}

// sameContributor is by what names of contributors are told apart: letters small or large, and spaces around, do not.
func sameContributor(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

// takeContributors notes in each row what is said of its contributor.
func (s *Sheet) takeContributors(contributors *Sheet) {
	if contributors == nil {
		return
	}
	said := map[string]ofContributor{}
	for _, row := range contributors.Rows {
		if row.Contributor != "" {
			said[sameContributor(row.Contributor)] = ofContributor{row.Credit, row.GainDB, row.FavourDB}
		}
	}
	for i := range s.Rows {
		s.Rows[i].ofContributor = said[sameContributor(s.Rows[i].Contributor)]
	}
}

// UpdateContributors brings contributors.csv beside the sheet at path up to date: a row at the end for every
// contributor who has none. Rows of those who have no takes any more stay.
func (s *Sheet) UpdateContributors(path string) error {
	dir := filepath.Dir(path)
	contributors, err := readContributors(dir, s.options)
	if err != nil {
		return err
	}
	if contributors == nil {
		contributors = newContributors(s)
	}
	known := map[string]bool{"": true}
	for _, row := range contributors.Rows {
		known[sameContributor(row.Contributor)] = true
	}
	for _, row := range s.Rows {
		if name := sameContributor(row.Contributor); !known[name] {
			known[name] = true
			added := NewRow("")
			added.Contributor = row.Contributor
			contributors.Rows = append(contributors.Rows, added)
		}
	}
	return contributors.Save(filepath.Join(dir, project.ContributorsFile))
}

// MoveContributors moves the rows of those who have no takes in the sheet any more, out of contributors.csv in dir,
// into the one in another folder. Rows of somebody who is in both stay as they are there.
func (s *Sheet) MoveContributors(dir, to string, names []string) error {
	here, err := readContributors(dir, s.options)
	if err != nil || here == nil {
		return err
	}
	there, err := readContributors(to, s.options)
	if err != nil {
		return err
	}
	moving := func(r Row) bool {
		name := sameContributor(r.Contributor)
		is := func(other string) bool { return sameContributor(other) == name }
		return slices.ContainsFunc(names, is) &&
			!slices.ContainsFunc(s.Rows, func(r Row) bool { return is(r.Contributor) })
	}
	gone := here.takeOut(moving)
	if len(gone.Rows) == 0 {
		return nil
	}
	if there == nil {
		there = gone
	} else {
		there.TakeIn(gone)
	}
	if err := there.Save(filepath.Join(to, project.ContributorsFile)); err != nil { // first: no cell is lost
		return err
	}
	path := filepath.Join(dir, project.ContributorsFile)
	if len(here.Rows) == 0 {
		return os.Remove(path)
	}
	return here.Save(path)
}
