// Whose terms are open: nobody has decided yet what they allow.

package takes

import (
	"cmp"
	"slices"
)

// OpenTerms is a contributor, and those of their takes whose terms are not decided.
type OpenTerms struct {
	Contributor string   `json:"contributor"`
	Takes       []string `json:"takes"`
}

// OpenTermsOf lists the contributors of rows whose column terms is empty or says asked, by name.
func OpenTermsOf(rows []*Row) []OpenTerms {
	var all []OpenTerms
	for _, row := range rows {
		if !row.Terms.Open() {
			continue
		}
		at := slices.IndexFunc(all, func(o OpenTerms) bool { return o.Contributor == row.Contributor })
		if at < 0 {
			at = len(all)
			all = append(all, OpenTerms{Contributor: row.Contributor})
		}
		all[at].Takes = append(all[at].Takes, row.Name())
	}
	slices.SortStableFunc(all, func(a, b OpenTerms) int { return cmp.Compare(a.Contributor, b.Contributor) })
	return all
}
