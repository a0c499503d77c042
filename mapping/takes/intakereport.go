// What to tell the builder after an intake.

package takes

import (
	"cmp"
	"fmt"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/takes/measure"
)

// Unsigned is a contributor some of whose takes may not be published yet.
type Unsigned struct {
	Contributor string   `json:"contributor"`
	Takes       []string `json:"takes"` // used, and without a credit line, or without licence or consent
	NoCredit    int      `json:"without_credit"`
	NoConsent   int      `json:"without_consent"`
}

// Unsigned lists the contributors of used takes that lack a credit line, or a licence or consent.
func (s *Sheet) Unsigned() []Unsigned {
	var all []Unsigned
	for i := range s.Rows {
		row := &s.Rows[i]
		if !row.Use || row.Missing || row.Signed() {
			continue
		}
		at := slices.IndexFunc(all, func(u Unsigned) bool { return u.Contributor == row.Contributor })
		if at < 0 {
			at = len(all)
			all = append(all, Unsigned{Contributor: row.Contributor})
		}
		all[at].Takes = append(all[at].Takes, row.Path)
		if row.CreditLine() == "" {
			all[at].NoCredit++
		}
		if row.Consent == "" {
			all[at].NoConsent++
		}
	}
	slices.SortStableFunc(all, func(a, b Unsigned) int { return cmp.Compare(a.Contributor, b.Contributor) })
	return all
}

// Finding is a take that the builder should look at, and why.
type Finding struct {
	Take   string       `json:"take"`
	Row    int          `json:"row"` // of the spreadsheet
	Flag   measure.Flag `json:"flag"`
	Advice string       `json:"advice"`
}

// urgency orders the flags by how much a bed suffers from them; others need no look.
var urgency = []struct {
	flag   measure.Flag
	advice string
}{
	{Unreadable, ""},
	{Missing, "the file is gone: put it back, or delete the row"},
	{CutShort, "the file ends early: get it again whole"},
	{Damaged, "a checksum in the file does not fit what it holds: get it again, or listen to it all"},
	{NotNumbers, "some samples are no numbers, or far beyond full scale, and were taken for silence: get the file " +
		"again"},
	{measure.Empty, "there is no sound in it: get it again, or set use to no"},
	{measure.Silent, "there is nothing to hear: get it again, or set use to no"},
	{measure.WrongOctave, ""},
	{measure.WrongNote, ""},
	{measure.SeveralPitches, "several notes at once: give the key to tune it by, or set use to no"},
	{measure.Speech, "somebody speaks before or after the sound, or all the time: listen to what onset_s and end_s " +
		"leave of it"},
	{measure.LongTake, "more than 5 minutes of 48 kHz stereo: only the sound from onset_s to end_s is used; " +
		"`lapstrake split`, or from_s and to_s, make other takes of it"},
	{measure.SeveralStrikes, "the sound sets in more than once: cut the file into takes, or keep it as it is"},
	{measure.Duplicate, ""},
	{measure.Clipped, "overdriven: ask for a quieter recording"},
	{measure.UnsurePitch, "listen, and give the key if the pitch is wrong"},
	{measure.StartCut, "the beginning is missing: ask for a longer recording"},
	{measure.OutOfPhase, "the sides cancel each other in mono: ask for the original"},
	{measure.TooShort, "shorter than 50 ms"},
}

// Findings lists the takes to look at, the most urgent first, each once. Takes that are not used
// are left out.
func (rep *Report) Findings() []Finding {
	var all []Finding
	listed, originals := make([]bool, len(rep.Sheet.Rows)), rep.Sheet.originals()
	for _, u := range urgency {
		for i := range rep.Sheet.Rows {
			row := &rep.Sheet.Rows[i]
			if !row.Use || listed[i] || !row.Has(u.flag) {
				continue
			}
			// A key given by the builder settles what the pitch is.
			if row.Key >= 0 && (u.flag == measure.WrongOctave || u.flag == measure.WrongNote ||
				u.flag == measure.SeveralPitches || u.flag == measure.UnsurePitch) {
				continue
			}
			advice := rep.Sheet.advice(row, u.flag, u.advice)
			if u.flag == measure.Duplicate {
				if first := originals[i]; first.row == nil || !first.row.Use {
					continue // decided
				}
				advice = originals[i].advice()
			}
			listed[i] = true
			all = append(all, Finding{row.Name(), row.Number, u.flag, advice})
		}
	}
	return all
}

func (s *Sheet) advice(row *Row, flag measure.Flag, advice string) string {
	switch flag {
	case Unreadable:
		return row.Problem
	case measure.WrongOctave:
		key, _ := row.Pitch.Key()
		return fmt.Sprintf("it sounds %s (key %d, middle C as %s), its name says another octave: rename it, or give "+
			"the key if the name is right",
			s.options.MiddleC.Name(key), key, s.options.MiddleC)
	case measure.WrongNote:
		key, _ := row.Pitch.Key()
		return fmt.Sprintf("it sounds %s (key %d, middle C as %s), its name says another note: rename it, or give "+
			"the key if the name is right",
			s.options.MiddleC.Name(key), key, s.options.MiddleC)
	}
	return advice
}

// NamingHint is the convention for middle C that the files' names follow if the sheet is read by the
// other one, else "".
func (rep *Report) NamingHint() mapping.Naming {
	if usual := rep.Sheet.usualNaming(); usual != rep.Sheet.options.MiddleC {
		return usual
	}
	return ""
}
