// Arrivals: live events of all inputs in one order, each at its frame.

package live

import (
	"fmt"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping"
)

// maxInputs is how many inputs may be open at once.
const maxInputs = 32

// Arrivals hands live events to the engine: an engine.Events. An event's frame is where the stream
// stood when it arrived plus a delay that is the same for all, so that notes keep their spacing
// whatever the block length and however unevenly blocks are asked for.
type Arrivals struct {
	adding  sync.Mutex // control goroutines only
	inputs  [maxInputs]atomic.Pointer[Input]
	dropped atomic.Int64
	late    atomic.Int64
	delayed atomic.Int64 // frames

	fetch    atomic.Pointer[func()] // nil: no input waits to be fetched from
	fetching atomic.Bool

	// The audio thread's own.
	line      timeline
	delay     delay
	live      [maxInputs]*Input // those of this block
	liveCount int
	lastFrame int64 // of what was handed over last
	next      engine.Event
	nextInput *Input // that next comes from; nil when next is not known
	nextRelease,
	nextLate bool
}

// NewArrivals makes an Arrivals with no inputs, for a stream of rateHz.
func NewArrivals(rateHz int) *Arrivals {
	return &Arrivals{line: newTimeline(rateHz), delay: newDelay()}
}

// Open opens an input. A closed one's place is free again once the audio thread has taken what
// it left. Control goroutine.
func (a *Arrivals) Open() (*Input, error) {
	a.adding.Lock()
	defer a.adding.Unlock()
	for i := range a.inputs {
		if a.inputs[i].Load() == nil {
			input := &Input{total: &a.dropped, tuning: make([]engine.Event, 0, mapping.HighestKey+1)}
			a.inputs[i].Store(input)
			return input, nil
		}
	}
	return nil, fmt.Errorf("%d inputs are open already: expected no more; choose fewer", maxInputs)
}

// Dropped counts the messages lost because a queue was full.
func (a *Arrivals) Dropped() int64 { return a.dropped.Load() }

// Late counts the events that were heard later than the delay has it, because they were handed
// over after their frame.
func (a *Arrivals) Late() int64 { return a.late.Load() }

// DelayFrames is how much later than its arrival an event is applied.
func (a *Arrivals) DelayFrames() int { return int(a.delayed.Load()) }

// SetFetch has the audio thread call fetch before each block, so that it can push what waits elsewhere; nil
// ends that. When it returns, the function set before is not and will not be called. Control goroutine.
func (a *Arrivals) SetFetch(fetch func()) {
	if fetch == nil {
		a.fetch.Store(nil)
	} else {
		a.fetch.Store(&fetch)
	}
	for a.fetching.Load() {
		time.Sleep(100 * time.Microsecond)
	}
}

// Begin takes in what has arrived before a block of frames frames from frame on is rendered; nowNs
// is when the block was asked for, on the clock of Now. Audio thread: no allocation, lock or
// system call.
func (a *Arrivals) Begin(frame int64, frames int, nowNs int64) {
	if a.line.begin(frame, frames, nowNs) {
		a.delay = newDelay()
		a.lastFrame = frame
	}
	a.delay.begin(&a.line)
	a.delayed.Store(int64(a.delay.frames(&a.line)))
	a.fetching.Store(true)
	if fetch := a.fetch.Load(); fetch != nil {
		(*fetch)()
	}
	a.fetching.Store(false)
	a.nextInput = nil
	a.liveCount = 0
	for i := range a.inputs {
		input := a.inputs[i].Load()
		if input == nil {
			continue
		}
		input.begin()
		if input.done() {
			a.inputs[i].Store(nil)
			continue
		}
		a.live[a.liveCount] = input
		a.liveCount++
	}
}

// Peek is the oldest event not yet taken; false means that nothing has arrived. Its frame is never
// before that of the one taken last, nor before the block. Audio thread.
func (a *Arrivals) Peek() (engine.Event, bool) {
	if a.nextInput != nil {
		return a.next, true
	}
	var first arrival
	for _, input := range a.live[:a.liveCount] {
		message, release, some := input.peek()
		if !some {
			continue
		}
		if release { // is long due
			a.set(input, message, max(a.lastFrame, a.line.blockFrame))
			a.nextRelease, a.nextLate = true, false
			return a.next, true
		}
		if a.nextInput == nil || message.atNs < first.atNs {
			a.nextInput, first = input, message
		}
	}
	if a.nextInput == nil {
		return engine.Event{}, false
	}
	frame := int64(a.line.FrameAt(first.atNs) + a.delay.frames(&a.line))
	a.set(a.nextInput, first, max(frame, a.lastFrame, a.line.blockFrame))
	shrunk := int64(math.Ceil(max(a.delay.shrunkFrames, 0))) // a waiting event may be due a little before this block
	a.nextRelease, a.nextLate = false, frame < a.line.blockFrame-shrunk
	return a.next, true
}

func (a *Arrivals) set(input *Input, message arrival, frame int64) {
	a.nextInput = input
	a.next = engine.Event{Frame: frame, Status: message.status, Data1: message.data1, Data2: message.data2,
		Fine: message.fine}
}

// Pop takes off what Peek shows; where that is nothing it does nothing. Audio thread.
func (a *Arrivals) Pop() {
	event, some := a.Peek()
	if !some {
		return
	}
	a.nextInput.pop(event, a.nextRelease)
	if a.nextLate {
		a.late.Add(1)
	}
	a.lastFrame, a.nextInput = event.Frame, nil
}
