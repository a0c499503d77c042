// Latch: holds the last chord when the hands are off the keys.

package live

import (
	"math/bits"
	"sync/atomic"

	"lapstrake/engine"
)

// Latch stands between the arriving events and the engine. Off, it passes everything on. On, it
// withholds note-offs, so that a chord sounds on with all keys up; the first key struck when none
// is down lets that chord go and begins the next, and keys struck while another is down join it.
// Everything else passes. Begin, Peek and Pop run on the audio thread: no allocation, lock or
// system call. The other methods may be called from anywhere.
type Latch struct {
	// Channel is the one that the engine listens to, as in engine.Settings: 1 to 16, or 0 for all.
	// Events of other channels pass unheeded. Set it before the first Begin.
	Channel int

	in engine.Events
	on atomic.Bool

	resting atomic.Bool

	holding bool  // what on was as the block began
	begun   int64 // first frame of the block
	last    int64 // highest frame that was popped
	down    keySet
	latched keySet // sounding with the key up
}

// NewLatch makes a latch, switched off, on top of in.
func NewLatch(in engine.Events) *Latch {
	return &Latch{in: in}
}

// Set switches the latch, from the next block on. Switching it off lets go of the keys that sound
// but are not down.
func (l *Latch) Set(on bool) { l.on.Store(on) }

// On tells how the latch was last set.
func (l *Latch) On() bool { return l.on.Load() }

// Resting says whether a chord sounds that no hand holds.
func (l *Latch) Resting() bool { return l.resting.Load() }

// Begin says that a block begins at frame. It is to be called before each block's first Peek.
// Audio thread.
func (l *Latch) Begin(frame int64) {
	l.begun, l.holding = frame, l.on.Load()
	l.resting.Store(l.holding && l.latched.some() && !l.down.some())
}

// Peek is the next event; false means that there is none yet. Audio thread.
func (l *Latch) Peek() (engine.Event, bool) {
	event, _, found := l.next()
	return event, found
}

// Pop takes the next event off; without one it does nothing. Audio thread.
func (l *Latch) Pop() {
	event, own, found := l.next()
	if !found {
		return
	}
	if own {
		l.latched.drop(event)
	} else {
		l.in.Pop()
	}
	l.last = max(l.last, event.Frame)
	if l.heeds(event) {
		l.hear(event)
	}
}

// next finds the next event, which is the latch's own if it lets a latched key go, and takes in
// the note-offs before it that are withheld.
func (l *Latch) next() (event engine.Event, own, found bool) {
	if !l.holding && l.latched.some() {
		return l.latched.firstOff(max(l.begun, l.last)), true, true
	}
	for {
		event, found = l.in.Peek()
		if !found || !l.holding || !l.heeds(event) {
			return event, false, found
		}
		switch {
		case isOff(event):
			l.in.Pop()
			l.lift(event)
		case event.Kind() == engine.KindNoteOn && !l.down.some() && l.latched.some():
			return l.latched.firstOff(event.Frame), true, true
		default:
			return event, false, true
		}
	}
}

func (l *Latch) heeds(event engine.Event) bool {
	return l.Channel == 0 || int(event.Channel()) == l.Channel-1
}

// lift takes in a note-off that the engine does not get.
func (l *Latch) lift(event engine.Event) {
	if l.down.has(event) {
		l.down.drop(event)
		l.latched.add(event)
	}
}

// hear keeps account of an event that the engine gets.
func (l *Latch) hear(event engine.Event) {
	switch {
	case isOff(event):
		l.down.drop(event)
	case event.Kind() == engine.KindNoteOn:
		l.down.add(event)
		l.latched.drop(event)
	case event.Kind() == engine.KindControl:
		l.control(event)
	}
}

// control takes in what stands for a note-off of every key. Keys count as up from here on: a sender that
// stops in this way may never send their note-offs.
func (l *Latch) control(event engine.Event) {
	if number := event.Data1 & 127; number == engine.ControlSoundOff || number >= engine.ControlNotesOff {
		l.down[event.Channel()], l.latched[event.Channel()] = [2]uint64{}, [2]uint64{}
	}
}

// isOff knows both forms of a note-off.
func isOff(event engine.Event) bool {
	return event.Kind() == engine.KindNoteOff || event.Kind() == engine.KindNoteOn && event.Data2 == 0
}

// keySet is a set of keys, each channel's apart.
type keySet [16][2]uint64

// keyBit is where the key of a note's event is found.
func keyBit(event engine.Event) (word int, bit uint64) {
	key := event.Data1 & 127
	return int(key / 64), 1 << (key % 64)
}

func (s *keySet) add(event engine.Event) {
	word, bit := keyBit(event)
	s[event.Channel()][word] |= bit
}

func (s *keySet) drop(event engine.Event) {
	word, bit := keyBit(event)
	s[event.Channel()][word] &^= bit
}

func (s *keySet) has(event engine.Event) bool {
	word, bit := keyBit(event)
	return s[event.Channel()][word]&bit != 0
}

func (s *keySet) some() bool { return *s != keySet{} }

// firstOff is the note-off, at frame, of the first key in the set, which must not be empty.
func (s *keySet) firstOff(frame int64) engine.Event {
	for channel := range s {
		for word, set := range s[channel] {
			if set != 0 {
				return engine.NoteOff(frame, byte(channel), byte(64*word+bits.TrailingZeros64(set)))
			}
		}
	}
	panic("live: no key to let go")
}
