// Hands: what arrives, transposed, without the messages that ask for something else than sound.

package live

import (
	"sync/atomic"

	"lapstrake/engine"
)

// Trigger is a message that asks for something of the player: a key that is struck, or a controller that rises to 64
// or more, as a switch does (MIDI 1.0, table III, note).
type Trigger struct {
	Controller bool // or else a key
	Number     byte // 0 to 127
}

// Hands stands between the arriving events and the latch. Peek and Pop run on the audio thread: no allocation, lock or
// system call. The other methods may be called from anywhere, but Bind, which comes before the first Begin.
type Hands struct {
	// Channel is the one that is heeded, as in engine.Settings: 1 to 16, or 0 for all. Set it before the first Begin.
	Channel int

	in        engine.Events
	semitones atomic.Int32
	bound     [2][128]bool // keys, controllers
	asked     *engine.QueueIn
	asks      *engine.QueueOut

	shift  int            // what semitones was as the block began
	sounds [16][128]uint8 // one more than the key that each key sounds as; 0: it is up
	values [128]uint8     // of bound controllers
}

const (
	mostAsked    = 256
	switchedOn   = 64
	mostSemitone = 127
)

// NewHands makes hands that change nothing, on top of in.
func NewHands(in engine.Events) *Hands {
	h := &Hands{in: in}
	h.asked, h.asks = engine.NewQueue(mostAsked)
	return h
}

// Bind takes a message out of what sounds; Asked gives it instead.
func (h *Hands) Bind(t Trigger) { h.bound[kindOf(t.Controller)][t.Number&127] = true }

func kindOf(controller bool) int {
	if controller {
		return 1
	}
	return 0
}

// Asked is the next bound message that has come; false means that there is none. One goroutine asks.
func (h *Hands) Asked() (t Trigger, some bool) {
	event, some := h.asks.Peek()
	h.asks.Pop()
	return Trigger{Controller: event.Kind() == engine.KindControl, Number: event.Data1}, some
}

// Transpose moves keys that are struck from the next block on, -127 to 127 semitones; those that are down stay as they
// are.
func (h *Hands) Transpose(semitones int) {
	h.semitones.Store(int32(min(max(semitones, -mostSemitone), mostSemitone)))
}

// Transposed is by how many semitones keys are moved.
func (h *Hands) Transposed() int { return int(h.semitones.Load()) }

// Begin says that a block begins. Audio thread.
func (h *Hands) Begin() { h.shift = int(h.semitones.Load()) }

// Peek is the next event; false means that there is none yet. Audio thread.
func (h *Hands) Peek() (engine.Event, bool) {
	event, _, found := h.next()
	return event, found
}

// Pop takes the next event off; without one it does nothing. Audio thread.
func (h *Hands) Pop() {
	event, source, found := h.next()
	if !found {
		return
	}
	sounds := &h.sounds[source.Channel()][source.Data1&127]
	switch {
	case !h.heeds(source) || !isNote(source):
		h.in.Pop()
	case isOff(source):
		*sounds = 0
		h.in.Pop()
	case isOff(event): // the key is struck again, and sounded as another one
		*sounds = 0
	default:
		*sounds = event.Data1 + 1
		h.in.Pop()
	}
}

// next finds the next event and the one that it is made of, and takes off those before it that do not sound.
func (h *Hands) next() (event, source engine.Event, found bool) {
	for {
		source, found = h.in.Peek()
		if !found || !h.heeds(source) {
			return source, source, found
		}
		if h.isBound(source) {
			h.ask(source)
			h.in.Pop()
			continue
		}
		was := h.sounds[source.Channel()][source.Data1&127]
		if source.Kind() == engine.KindKeyPressure && was > 0 {
			event = source
			event.Data1 = was - 1
			return event, source, true
		}
		if !isNote(source) {
			return source, source, true
		}
		moved := int(source.Data1&127) + h.shift
		event = source
		switch {
		case isOff(source) && was > 0:
			event.Data1 = was - 1
			return event, source, true
		case isOff(source):
			return event, source, true
		case was > 0 && int(was)-1 != moved:
			return engine.NoteOff(source.Frame, source.Channel(), was-1), source, true
		case moved < 0 || moved > 127:
			h.in.Pop()
		default:
			event.Data1 = byte(moved)
			return event, source, true
		}
	}
}

func isNote(event engine.Event) bool { return event.Kind() == engine.KindNoteOn || isOff(event) }

func (h *Hands) heeds(event engine.Event) bool {
	return h.Channel == 0 || int(event.Channel()) == h.Channel-1
}

func (h *Hands) isBound(event engine.Event) bool {
	switch {
	case isNote(event):
		return h.bound[0][event.Data1&127]
	case event.Kind() == engine.KindControl:
		return h.bound[1][event.Data1&127]
	}
	return false
}

// ask hands on what asks for something: not the ends of it.
func (h *Hands) ask(event engine.Event) {
	if isNote(event) {
		if !isOff(event) {
			h.asked.Push(event)
		}
		return
	}
	value := &h.values[event.Data1&127]
	if *value < switchedOn && event.Data2 >= switchedOn {
		h.asked.Push(event)
	}
	*value = event.Data2
}
