// Telling a server that stands still, or has gone without a word, by its periods.

package jack

import "time"

const (
	lookTime = 500 * time.Millisecond // looks that come sooner do not count
	// without a period between them. Not a time: who was suspended has missed nothing
	stillLooks = 4
)

// stillness looks at how many periods there were.
type stillness struct {
	periods uint32
	at      time.Time
	looks   int
}

// look says whether there was no period for too long.
func (s *stillness) look(periods uint32, now time.Time) bool {
	switch {
	case periods != s.periods || s.at.IsZero():
		s.periods, s.at, s.looks = periods, now, 0
	case now.Sub(s.at) >= lookTime:
		s.at = now
		s.looks++
	}
	return s.looks >= stillLooks
}
