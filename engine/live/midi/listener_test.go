// What the tests hear through an input.

package midi

import (
	"maps"
	"slices"

	"lapstrake/engine"
	"lapstrake/engine/live"
)

// listener asks an Arrivals for blocks of 64 frames at 48 kHz, and takes all events that are due, as the engine does.
type listener struct {
	arrivals *live.Arrivals
	frame    int64 // first of the next block
	applied  []engine.Event
}

func newListener() *listener { return &listener{arrivals: live.NewArrivals(48000)} }

// block is asked for at nowNs, on the clock of live.Now.
func (l *listener) block(nowNs int64) {
	const frames = 64
	l.arrivals.Begin(l.frame, frames, nowNs)
	l.frame += frames
	for {
		event, some := l.arrivals.Peek()
		if !some || event.Frame >= l.frame {
			return
		}
		l.arrivals.Pop()
		l.applied = append(l.applied, event)
	}
}

// settle asks for blocks from nowNs on until all that was pushed before is applied, and returns when the next one is
// due.
func (l *listener) settle(nowNs int64) int64 {
	for range 200 {
		nowNs += 64 * 1_000_000_000 / 48000
		l.block(nowNs)
	}
	return nowNs
}

// held is the keys that are down, whatever their channel.
func (l *listener) held() []byte {
	down := map[[2]byte]bool{}
	for _, e := range l.applied {
		switch at := [2]byte{e.Data1, e.Channel()}; e.Kind() {
		case engine.KindNoteOn:
			down[at] = e.Data2 > 0
		case engine.KindNoteOff:
			down[at] = false
		}
	}
	maps.DeleteFunc(down, func(_ [2]byte, is bool) bool { return !is })
	keys := []byte{}
	for at := range down {
		keys = append(keys, at[0])
	}
	slices.Sort(keys)
	return keys
}
