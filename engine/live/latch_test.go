// The latch keeps chords, changes them, and lets go of them.

package live

import (
	"slices"
	"sync"
	"testing"

	"lapstrake/engine"
)

const latchBlockFrames = 64

// latchRig feeds events to a latch and takes what comes out as the engine does, block by block.
type latchRig struct {
	*Latch
	put   *engine.QueueIn
	frame int64
	out   []engine.Event
}

func newLatchRig() *latchRig {
	put, take := engine.NewQueue(4096)
	return &latchRig{Latch: NewLatch(take), put: put}
}

// block puts events in and runs one block; it returns what came out in it.
func (r *latchRig) block(events ...engine.Event) []engine.Event {
	for _, event := range events {
		r.put.Push(event)
	}
	before := len(r.out)
	r.Begin(r.frame)
	for {
		event, found := r.Peek()
		if !found || event.Frame >= r.frame+latchBlockFrames {
			break
		}
		if again, _ := r.Peek(); again != event {
			panic("two peeks differ")
		}
		r.Pop()
		r.out = append(r.out, event)
	}
	r.frame += latchBlockFrames
	return r.out[before:]
}

// at places an event in the block to come, so many frames in.
func (r *latchRig) at(offset int64, event engine.Event) engine.Event {
	event.Frame = r.frame + offset
	return event
}

func on(channel, key byte) engine.Event  { return engine.NoteOn(0, channel, key, 100) }
func off(channel, key byte) engine.Event { return engine.NoteOff(0, channel, key) }

func (r *latchRig) requireOut(t *testing.T, what string, got []engine.Event, want ...engine.Event) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Fatalf("%s: out came %v, want %v", what, got, want)
	}
}

func (r *latchRig) requireHeld(t *testing.T, what string, keys ...int) {
	t.Helper()
	var want [2]uint64
	for _, key := range keys {
		want[key/64] |= 1 << (key % 64)
	}
	if _, got := stuck(r.out); got != want {
		t.Fatalf("%s: keys %#x are on, want keys %v", what, got, keys)
	}
}

func TestLatchHoldsAChordUntilTheNext(t *testing.T) {
	r := newLatchRig()
	r.Set(true)
	first := []engine.Event{r.at(1, on(0, 60)), r.at(2, on(0, 67))}
	r.requireOut(t, "two keys", r.block(append(first, r.at(3, off(0, 60)))...), first...)
	joining := r.at(0, on(0, 72))
	r.requireOut(t, "a third joins while one is down", r.block(joining, r.at(5, off(0, 72)), r.at(5, off(0, 67))),
		joining)
	r.requireOut(t, "hands off", r.block())
	r.requireHeld(t, "hands off", 60, 67, 72)

	frame := r.frame + 9
	next := r.at(9, on(0, 67))
	r.requireOut(t, "the next chord", r.block(next),
		engine.NoteOff(frame, 0, 60), engine.NoteOff(frame, 0, 67), engine.NoteOff(frame, 0, 72), next)
	r.requireHeld(t, "the next chord", 67)
}

func TestLatchSwitchedOffReleasesTheKeysThatAreUp(t *testing.T) {
	r := newLatchRig()
	r.block(on(3, 100), on(3, 20)) // struck before it is switched on, lifted after: they are held too
	r.Set(true)
	r.block(r.at(7, off(3, 20)))
	r.requireHeld(t, "one key lifted", 20, 100)
	r.Set(false)
	r.requireOut(t, "switched off", r.block(), engine.NoteOff(r.frame-latchBlockFrames, 3, 20))
	r.requireHeld(t, "switched off", 100)
	lifted := r.at(3, off(3, 100))
	r.requireOut(t, "the other lifted", r.block(lifted), lifted)
	r.requireHeld(t, "all up")
}

// Blocks may be shorter than the stretch that the engine takes events for: what the latch lets go
// must not come out with a frame before that of an event which is already out.
func TestLatchReleasesInTheOrderOfFrames(t *testing.T) {
	r := newLatchRig()
	r.Set(true)
	r.block(r.at(0, on(0, 60)), r.at(1, off(0, 60)), r.at(50, engine.Bend(0, 0, 9000)))
	r.frame = 16
	r.Set(false)
	r.requireOut(t, "switched off", r.block(), engine.NoteOff(50, 0, 60))
}

// A note-off of a key that was not down, such as a device sends as it starts, is no key to let go.
func TestLatchHoldsNoKeyThatWasNotDown(t *testing.T) {
	r := newLatchRig()
	r.Set(true)
	r.requireOut(t, "stray", r.block(off(0, 50)))
	r.Set(false)
	r.requireOut(t, "switched off", r.block())
}

// Key 60 of one channel is another than key 60 of the next; a note-on of velocity 0 is a note-off.
func TestLatchKeepsChannelsApart(t *testing.T) {
	r := newLatchRig()
	r.Set(true)
	r.block(r.at(0, on(0, 60)), r.at(0, on(1, 60)), r.at(1, engine.NoteOn(0, 0, 60, 0)))
	r.Set(false)
	r.requireOut(t, "only channel 0 is up", r.block(), engine.NoteOff(latchBlockFrames, 0, 60))
}

func TestLatchDropsItsKeysWhenTheChannelIsSilenced(t *testing.T) {
	for _, number := range []byte{120, 123, 124, 125, 126, 127} {
		r := newLatchRig()
		r.Set(true)
		r.block(r.at(0, on(2, 60)), r.at(0, on(2, 62)), r.at(1, off(2, 60)))
		silence := r.at(4, engine.Control(0, 2, number, 0))
		r.requireOut(t, "silenced", r.block(silence), silence)
		r.requireHeld(t, "silenced")
		next := r.at(0, on(2, 64)) // key 62's note-off never came: it must not make this key join
		r.requireOut(t, "nothing left to let go", r.block(next, r.at(1, off(2, 64))), next)
		again := r.at(2, on(2, 65))
		r.requireOut(t, "the chord after", r.block(again), r.at(2-latchBlockFrames, off(2, 64)), again)
	}
}

// Pedals and wheels pass at their frames, in their order.
func TestLatchPassesEverythingElse(t *testing.T) {
	r := newLatchRig()
	r.Set(true)
	r.block(on(0, 60), r.at(1, off(0, 60)))
	events := []engine.Event{r.at(0, engine.Control(0, 0, 64, 127)), r.at(1, engine.Bend(0, 0, 9000)),
		r.at(2, engine.Event{Status: engine.KindChannelPressure, Data1: 5}), r.at(2, engine.Control(0, 5, 7, 90))}
	r.requireOut(t, "no notes", r.block(events...), events...)
	r.requireHeld(t, "no notes", 60)
}

// What the engine does not listen to ends no chord.
func TestLatchHeedsTheEnginesChannelOnly(t *testing.T) {
	r := newLatchRig()
	r.Channel = 2
	r.Set(true)
	r.block(r.at(0, on(1, 60)), r.at(1, off(1, 60)))
	foreign := []engine.Event{r.at(0, on(0, 61)), r.at(1, off(0, 61)), r.at(2, engine.Control(0, 0, 120, 0)),
		r.at(2, engine.Control(0, 0, 1, 5))}
	r.requireOut(t, "another channel", r.block(foreign...), foreign...)
}

func TestLatchAllocatesNothing(t *testing.T) {
	r := newLatchRig()
	r.out = make([]engine.Event, 0, 100_000)
	if allocated := testing.AllocsPerRun(1000, func() {
		r.Set(!r.On())
		r.put.Push(r.at(0, on(0, 60)))
		r.put.Push(r.at(1, engine.Control(0, 0, 123, 0)))
		r.put.Push(r.at(2, on(1, 61)))
		r.put.Push(r.at(3, off(1, 61)))
		r.block()
	}); allocated != 0 {
		t.Errorf("%v allocations a block, want 0", allocated)
	}
}

// Switching from another goroutine while blocks run: the race detector judges.
func TestLatchFromTwoGoroutines(t *testing.T) {
	r := newLatchRig()
	done := make(chan struct{})
	var switching sync.WaitGroup
	switching.Go(func() {
		for i := 0; ; i++ {
			select {
			case <-done:
				return
			default:
			}
			r.Set(i%3 == 0)
		}
	})
	for range 2000 {
		r.block(r.at(0, on(0, 70)), r.at(1, engine.Control(0, 0, 1, 127)), r.at(2, off(0, 70)))
	}
	close(done)
	switching.Wait()
	r.Set(false)
	r.block()
	r.requireHeld(t, "in the end")
}
