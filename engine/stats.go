// The figures that a player shows.

package engine

import (
	"math"
	"sync/atomic"

	"lapstrake/mapping/sound"
)

// Stats is what the player shows.
type Stats struct {
	Frame   int64
	Voices  int   // cycles sounding
	Events  int64 // applied so far
	Misses  int64 // times a voice fell silent because its frames came late
	Stolen  int64 // notes faded to make room
	Refused int64 // notes for which there was no room

	Dynamics float64 // where the dynamics controller stands, 0 to 1
	VolumeDB float64 // what the volume controllers ask for; -Inf at 0
	Volume   int     // where the first volume controller of the map stands, 0 to 127

	MostReductionDB float64 // the most that the ceiling has taken off, 0 or more

	ReadErrors int64 // reads that failed; voices fade there
	Untold     int64 // events that found no room in Settings.Applied
}

type counters struct {
	frame, voices, events, stolen, refused, untold atomic.Int64

	dynamics, volume atomic.Uint64 // bits of float64
	volumeValue      atomic.Int64

	controllers shownControllers

	silentKeys [2]atomic.Uint64 // struck without a zone; key k is bit k%64 of word k/64
}

func (c *counters) publish(e *Engine) {
	c.frame.Store(e.frame)
	c.voices.Store(int64(len(e.parts) - len(e.free)))
	c.dynamics.Store(math.Float64bits(e.control.dynamics.target))
	c.volume.Store(math.Float64bits(e.control.volume.target))
	c.controllers.publish(e)
	c.volumeValue.Store(int64(e.control.firstVolume()))
}

// TakeReductionDB is the most that the ceiling has taken off since this was last asked, in decibels of 0 or more. One
// goroutine asks.
func (e *Engine) TakeReductionDB() float64 { return e.ceiling.TakeReductionDB() }

// TakeSilentKeys is the set of keys that were struck since this was last asked and sound no zone of the map: key k is
// bit k%64 of word k/64. Any goroutine.
func (e *Engine) TakeSilentKeys() (keys [2]uint64) {
	for word := range keys {
		keys[word] = e.stats.silentKeys[word].Swap(0)
	}
	return keys
}

// Stats returns the present figures; any goroutine may ask.
func (e *Engine) Stats() Stats {
	return Stats{
		Frame:   e.stats.frame.Load(),
		Voices:  int(e.stats.voices.Load()),
		Misses:  e.reader.Misses(),
		Events:  e.stats.events.Load(),
		Stolen:  e.stats.stolen.Load(),
		Refused: e.stats.refused.Load(),

		Dynamics: math.Float64frombits(e.stats.dynamics.Load()),
		VolumeDB: sound.AmplitudeDB(math.Float64frombits(e.stats.volume.Load())),
		Volume:   int(e.stats.volumeValue.Load()),

		MostReductionDB: e.ceiling.MostReductionDB(),

		ReadErrors: e.reader.Errors(),
		Untold:     e.stats.untold.Load(),
	}
}
