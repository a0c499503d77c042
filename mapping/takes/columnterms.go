// The column terms: what a contributor allows, as the builder decided.

package takes

import (
	"slices"

	"lapstrake/mapping/takes/terms"
)

var termsColumn = column{name: "terms",
	text: func(r *Row, _ SheetOptions) string { return string(r.Terms) },
	read: func(r *Row, cell string, _ SheetOptions) (err error) {
		r.Terms, err = terms.Parse(cell)
		return err
	}}

// withTerms puts the column terms beside consent into a sheet of an earlier version, which is known by having neither
// terms nor suggested_terms. It must be there once for the builder to find it; a builder who deletes it is not given
// it again.
func withTerms(all []sheetColumn) []sheetColumn {
	at := func(name string) int {
		return slices.IndexFunc(all, func(c sheetColumn) bool { return c.known != nil && c.known.name == name })
	}
	consent := at("consent")
	if consent < 0 || at("terms") >= 0 || at("suggested_terms") >= 0 {
		return all
	}
	return slices.Insert(all, consent+1, sheetColumn{"terms", columnNamed("terms"), -1})
}
