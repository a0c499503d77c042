package engine

import "sync/atomic"

// Stats is what the player shows.
type Stats struct {
	Frame   int64
	Voices  int   // cycles sounding
	Misses  int64 // times a voice fell silent because its frames came late
	Stolen  int64 // notes faded to make room
	Refused int64 // notes for which there was no room

	ReadErrors int64 // reads that failed; their frames are silent
	Untold     int64 // events that found no room in Settings.Applied
}

type counters struct {
	frame, voices, stolen, refused, untold atomic.Int64
}

func (c *counters) publish(e *Engine) {
	c.frame.Store(e.frame)
	c.voices.Store(int64(len(e.parts) - len(e.free)))
}

// Stats returns the present figures; any goroutine may ask.
func (e *Engine) Stats() Stats {
	return Stats{
		Frame:   e.stats.frame.Load(),
		Voices:  int(e.stats.voices.Load()),
		Misses:  e.reader.Misses(),
		Stolen:  e.stats.stolen.Load(),
		Refused: e.stats.refused.Load(),

		ReadErrors: e.reader.Errors(),
		Untold:     e.stats.untold.Load(),
	}
}
