// The flags of every row, from its measures, its file, its name and its neighbours.

package takes

import (
	"slices"

	"lapstrake/mapping/takes/measure"
)

// setFlags gives each row its flags, in an order that depends on nothing but the sheet, and seals
// the measured cells.
func (s *Sheet) setFlags() {
	usual, originals := s.usualNaming(), s.originals()
	for i := range s.Rows {
		row := &s.Rows[i]
		file := slices.DeleteFunc(slices.Clone(row.Flags), func(f measure.Flag) bool { return !ofFile(f) })
		switch {
		case row.Missing:
			row.Flags = append([]measure.Flag{Missing}, file...)
			continue // what was measured stays, for the take may come back
		case row.Problem != "":
			row.Flags = []measure.Flag{Unreadable}
		default:
			measures := row.Measures
			measures.Kind = row.UsedKind()
			row.Flags = append(file, measures.Flags()...)
			if row.wrongOctave(usual) {
				row.Flags = append(row.Flags, measure.WrongOctave)
			}
			if row.wrongNote() {
				row.Flags = append(row.Flags, measure.WrongNote)
			}
		}
		if originals[i].row != nil {
			row.Flags = append(row.Flags, measure.Duplicate)
		}
		row.seal()
	}
}

// ofFile says whether a flag comes from decoding the file, and so stays with its content.
func ofFile(flag measure.Flag) bool { return flag == CutShort || flag == Damaged || flag == NotNumbers }

// seal makes the measured cells known as intake's own. What could not be read is tried again each time.
func (r *Row) seal() {
	r.measured, r.check = r.Problem == "", ""
	if r.measured {
		r.check = r.checkDigits()
	}
}
