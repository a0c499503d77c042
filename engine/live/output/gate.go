// One output at a time may call render, even while an old one that hung comes back to life.

package output

import (
	"sync/atomic"
	"time"
)

// gate stands between outputs and render. Each output has a turn; only the latest turn renders. An
// output of an earlier turn, however late it calls, gets silence, and so does one that calls while
// another is still inside render: nobody ever waits.
type gate struct {
	render func(out []float32)
	turn   atomic.Int64
	busy   atomic.Bool
	opened time.Time
	last   atomic.Int64 // when render was last called, in ns since opened
}

// sinceLast is how long ago render was last called.
func (g *gate) sinceLast() time.Duration { return time.Since(g.opened) - time.Duration(g.last.Load()) }

// next ends the turn of whoever had it and returns what the next output calls.
func (g *gate) next() func(out []float32) {
	turn := g.turn.Add(1)
	return func(out []float32) { g.pass(turn, out) }
}

// pass: audio thread. No allocation, lock, system call or log.
func (g *gate) pass(turn int64, out []float32) {
	if !g.busy.CompareAndSwap(false, true) {
		clear(out)
		return
	}
	// Asked inside: a turn that ends now ends after this block, and its successor finds the gate busy.
	if g.turn.Load() == turn {
		g.render(out)
		g.last.Store(int64(time.Since(g.opened)))
	} else {
		clear(out)
	}
	g.busy.Store(false)
}

// shut ends the last turn and waits until nobody is inside render, at most for closeTimeout.
func (g *gate) shut() {
	g.turn.Add(1)
	for range closeTimeout / time.Millisecond {
		if !g.busy.Load() {
			return
		}
		time.Sleep(time.Millisecond)
	}
}

// Stage is what an output renders whose sound begins only once it runs: until then it gets silence.
type Stage struct {
	render atomic.Pointer[func(out []float32)]
}

// Begin has render called from now on.
func (s *Stage) Begin(render func(out []float32)) { s.render.Store(&render) }

// Render fills out. Audio thread: no allocation, lock, system call or log.
func (s *Stage) Render(out []float32) {
	if render := s.render.Load(); render != nil {
		(*render)(out)
	} else {
		clear(out)
	}
}
