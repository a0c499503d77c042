// Sheets that were written before the builder could decide the kind of a take: nothing in them is lost.

package takes

import "slices"

// newColumns are the builder's columns that old sheets lack.
var newColumns = []string{kindColumnName, "bed", "favour_db", "from_s", "to_s"}

// hasMeasuredKind says whether a sheet with these titles is an old one, whose column kind holds what was measured.
func hasMeasuredKind(titles []string) bool {
	has := map[*column]bool{}
	for _, title := range titles {
		has[columnNamed(title)] = true
	}
	for _, name := range append([]string{measuredKindName}, newColumns...) {
		if name != kindColumnName && has[columnNamed(name)] {
			return false
		}
	}
	return has[columnNamed(kindColumnName)] && has[columnNamed("measures_check")]
}

// upgrade gives an old sheet the builder's columns that it lacks, each behind the one before it in a new sheet. A kind
// that the builder edited, which used to be undone, is now the builder's word.
func (s *Sheet) upgrade() {
	for _, name := range newColumns {
		s.restoreColumn(columnNamed(name))
	}
	for i := range s.Rows {
		s.Rows[i].keepEditedKind()
	}
}

// keepEditedKind finds out whether the measured cells fit their digits but for the kind.
func (r *Row) keepEditedKind() {
	found := r.Kind
	if r.measured || r.check == "" || !slices.Contains(allKinds, found) {
		return
	}
	for _, kind := range allKinds {
		r.Kind = kind
		if r.check == r.checkDigits() {
			r.SaidKind, r.measured = found, true
			return
		}
	}
	r.Kind = found
}
