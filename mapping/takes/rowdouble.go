// Takes that are the same recording as an earlier one of the sheet: the same file, or the same sound in another.

package takes

import "lapstrake/mapping/takes/measure"

// original is an earlier take that another one repeats; row is nil for a take that repeats none.
type original struct {
	row      *Row
	sameFile bool // as the sheet has it by hash; else the sound is the same
}

// originals finds for each row the first one before it that is the same recording. Stretches of one file are told
// apart by where they lie in it, not by their sound. A take that is missing repeats none, and is repeated by none.
func (s *Sheet) originals() []original {
	all := make([]original, len(s.Rows))
	byContent := map[content]*Row{}
	prints := make([]*measure.Print, len(s.Rows))
	for i := range s.Rows {
		row := &s.Rows[i]
		if row.Missing {
			continue
		}
		if row.Hash != "" {
			if first := byContent[row.content()]; first != nil {
				all[i] = original{first, true}
				continue // what sounds like this one sounds like the first
			}
			byContent[row.content()] = row
		}
		print, ok := row.Fingerprint.Ready()
		if !ok || row.Problem != "" {
			continue
		}
		prints[i] = print
		for k, earlier := range prints[:i] {
			if earlier != nil && s.Rows[k].Hash != row.Hash && earlier.SameRecording(print) {
				all[i] = original{&s.Rows[k], false}
				break
			}
		}
	}
	return all
}

// advice says what a take repeats and what to do about it.
func (o original) advice() string {
	if o.sameFile {
		return "the same file as " + o.row.Name() + ": set use to no for one of them"
	}
	return "the same recording as " + o.row.Name() +
		", in another file: listen to both, and set use to no for one of them"
}
