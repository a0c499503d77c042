// The queue that carries events to the audio thread without a lock.

package engine

import (
	"math/bits"
	"sync/atomic"
)

// Apart stands between fields that two goroutines write, to keep them on different cache lines, and on different pairs
// of lines where the processor fetches lines in pairs.
type Apart [128]byte

// eventQueue is what both sides share. Both counts only ever rise; slot n&mask holds event n.
type eventQueue struct {
	slots    []Event
	mask     uint64
	capacity uint64
	_        Apart
	pushed   atomic.Uint64 // written by the QueueIn alone
	_        Apart
	popped   atomic.Uint64 // written by the QueueOut alone
	_        Apart
}

// QueueIn is the end that events are put in at. One goroutine at a time may use it.
type QueueIn struct {
	queue  *eventQueue
	pushed uint64
	popped uint64 // as last seen: the other side's line is read only when this says full
	_      Apart
}

// QueueOut is the end that events are taken out at. One goroutine at a time may use it.
type QueueOut struct {
	queue  *eventQueue
	popped uint64
	pushed uint64 // as last seen: the other side's line is read only when this says empty
	_      Apart
}

// NewQueue makes a queue that holds capacity events, at least one. Events come out in the order in
// which they were put in, each exactly once. The two ends may be used from two goroutines at once;
// Push, Peek and Pop return at once whatever the other side does and never allocate, lock or
// call the system.
func NewQueue(capacity int) (*QueueIn, *QueueOut) {
	capacity = max(capacity, 1)
	slots := 1 << bits.Len(uint(capacity-1)) // the next power of two
	queue := &eventQueue{slots: make([]Event, slots), mask: uint64(slots - 1), capacity: uint64(capacity)}
	return &QueueIn{queue: queue}, &QueueOut{queue: queue}
}

// Push puts an event in. When the queue is full it returns false and the event stays with the
// caller.
func (in *QueueIn) Push(event Event) bool {
	if in.pushed-in.popped == in.queue.capacity {
		in.popped = in.queue.popped.Load()
		if in.pushed-in.popped == in.queue.capacity {
			return false
		}
	}
	in.queue.slots[in.pushed&in.queue.mask] = event
	in.pushed++
	in.queue.pushed.Store(in.pushed) // publishes the slot
	return true
}

// Peek is the oldest event, which stays in the queue; false means that the queue is empty.
func (out *QueueOut) Peek() (Event, bool) {
	if out.popped == out.pushed {
		out.pushed = out.queue.pushed.Load()
		if out.popped == out.pushed {
			return Event{}, false
		}
	}
	return out.queue.slots[out.popped&out.queue.mask], true
}

// Pop takes out the oldest event; on an empty queue it does nothing.
func (out *QueueOut) Pop() {
	if _, some := out.Peek(); !some {
		return
	}
	out.popped++
	out.queue.popped.Store(out.popped) // hands the slot back
}
