// Where the controllers stand, for whoever shows them.

package engine

import (
	"math"
	"sync/atomic"
)

// Controllers is where the controllers stand, as last received.
type Controllers struct {
	Hold       bool // the pedal of any channel
	Sostenuto  bool
	BendTurned float64 // how far the wheel is turned: -1 to 1
}

// shownControllers carries them out of the audio thread.
type shownControllers struct {
	hold, sostenuto atomic.Bool
	bend            atomic.Uint64 // bits of float64
}

// publish is the audio thread's: no allocation, lock or system call.
func (s *shownControllers) publish(e *Engine) {
	c := &e.control
	hold, sostenuto := false, false
	for i := range e.channels {
		hold = hold || e.channels[i].hold
		sostenuto = sostenuto || e.channels[i].sostenuto
	}
	s.hold.Store(hold)
	s.sostenuto.Store(sostenuto)
	s.bend.Store(math.Float64bits(float64(c.bendValue-BendCentre) / BendCentre))
}

// Controllers returns where the controllers stand. Any goroutine but the audio thread.
func (e *Engine) Controllers() (c Controllers) {
	s := &e.stats.controllers
	c.Hold, c.Sostenuto = s.hold.Load(), s.sostenuto.Load()
	c.BendTurned = math.Float64frombits(s.bend.Load())
	return c
}
