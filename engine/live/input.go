// Input: one MIDI input, and its queue to the audio thread.

package live

import (
	"sync/atomic"

	"lapstrake/engine"
)

// inputCapacity is how many messages may wait. A MIDI cable carries about a thousand notes a second.
const inputCapacity = 1024

// arrival is a message and when it came. lost counts the messages lost before it, so that the
// audio thread meets a loss at its place in the order.
type arrival struct {
	atNs                 int64
	lost                 uint32
	status, data1, data2 byte
	fine                 uint32 // of tuning messages
}

// Input is one MIDI input. One goroutine at a time may Push; another one may Close.
type Input struct {
	total  *atomic.Int64  // losses of all inputs
	tuning []engine.Event // of the message being pushed; the goroutine that pushes
	slots  [inputCapacity]arrival

	_      engine.Apart
	pushed atomic.Uint64 // both counts only ever rise; slot n%inputCapacity holds message n
	lost   atomic.Uint32
	_      engine.Apart
	popped atomic.Uint64
	_      engine.Apart
	closed atomic.Bool
	_      engine.Apart

	// The audio thread's own.
	next      uint64 // oldest message not yet handed over
	end       uint64 // first message that is not part of this block
	lostSeen  uint32 // losses already dealt with
	ending    bool   // closed, and all that was pushed before is up to end
	releasing bool   // what is held is being let go
	held      held
}

// Push hands over a channel message that arrived at atNs on the clock of Now. It never blocks and
// never allocates. When the queue is full the message is lost; since that may have been a note-off,
// the audio thread then releases all that is held through this input. What is no channel message
// is left out, and after Close everything is.
func (s *Input) Push(atNs int64, status, data1, data2 byte) {
	if status < engine.KindNoteOff || status >= 0xF0 {
		return
	}
	s.push(atNs, engine.Event{Status: status, Data1: data1 & 0x7F, Data2: data2 & 0x7F})
}

// PushTuning hands over what a system-exclusive message says of tunings, as Push does; what it says of other things is
// left out. body is all of the message but its F0 and its F7.
func (s *Input) PushTuning(atNs int64, body []byte) {
	s.tuning = engine.AppendTuning(s.tuning[:0], body)
	for _, event := range s.tuning {
		s.push(atNs, event)
	}
}

func (s *Input) push(atNs int64, event engine.Event) {
	if s.closed.Load() {
		return
	}
	pushed := s.pushed.Load()
	if pushed-s.popped.Load() == inputCapacity {
		s.Lose(1)
		return
	}
	s.slots[pushed%inputCapacity] = arrival{atNs, s.lost.Load(), event.Status, event.Data1, event.Data2, event.Fine}
	s.pushed.Store(pushed + 1) // publishes the slot
}

// Lose takes note of messages that were lost before they could be pushed. The goroutine that pushes.
func (s *Input) Lose(count int64) {
	s.lost.Add(uint32(count))
	s.total.Add(count)
}

// Close ends the input: what was pushed is still heard, then the keys, pedals and bends that are
// held through it are released. It may be called while another goroutine is in Push.
func (s *Input) Close() { s.closed.Store(true) }

// begin takes in what has arrived. Audio thread.
func (s *Input) begin() {
	s.ending = s.closed.Load() // before the count: nothing that came before Close is missed
	lost := s.lost.Load()      // before the count: then an empty queue is past the loss
	s.end = s.pushed.Load()
	if s.next == s.end && lost != s.lostSeen {
		s.lostSeen, s.releasing = lost, true
	}
}

// peek is the next message and whether it is a release, which is due at once. Audio thread.
func (s *Input) peek() (message arrival, release, some bool) {
	if s.next < s.end {
		message = s.slots[s.next%inputCapacity]
		if message.lost != s.lostSeen {
			s.lostSeen, s.releasing = message.lost, true
		}
	} else if s.ending {
		s.releasing = true
	}
	if s.releasing {
		if e, any := s.held.release(); any {
			return arrival{status: e.Status, data1: e.Data1, data2: e.Data2}, true, true
		}
		s.releasing = false
	}
	return message, false, s.next < s.end
}

// pop takes off what peek showed and event was made of. Audio thread.
func (s *Input) pop(event engine.Event, release bool) {
	s.held.note(event)
	if !release {
		s.next++
		s.popped.Store(s.next) // hands the slot back
	}
}

// done says that a closed input has nothing more to say. Audio thread.
func (s *Input) done() bool {
	if !s.ending || s.next != s.end {
		return false
	}
	_, _, some := s.peek()
	return !some
}
