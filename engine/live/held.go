// What is held down through one input, so that it can be let go.

package live

import (
	"math/bits"

	"lapstrake/engine"
)

// held is the keys, pedals and bends that are not at rest.
type held struct {
	keys      [16][2]uint64 // by channel, a bit a key
	sustain   uint16        // a bit a channel
	sostenuto uint16
	bent      uint16
}

// note takes note of a message that has been handed over.
func (h *held) note(e engine.Event) {
	channel := e.Channel()
	switch e.Kind() {
	case engine.KindNoteOn, engine.KindNoteOff:
		down := e.Kind() == engine.KindNoteOn && e.Data2 > 0
		word := &h.keys[channel][e.Data1>>6&1]
		if bit := uint64(1) << (e.Data1 & 63); down {
			*word |= bit
		} else {
			*word &^= bit
		}
	case engine.KindControl:
		switch e.Data1 {
		case engine.ControlHold:
			setBit(&h.sustain, channel, e.Data2 > 0)
		case engine.ControlSostenuto:
			setBit(&h.sostenuto, channel, e.Data2 > 0)
		}
	case engine.KindBend:
		setBit(&h.bent, channel, e.BendValue() != engine.BendCentre)
	}
}

// release is a message that lets go of something held; false means that nothing is. The caller
// hands the message over and notes it, and so comes to the next. Keys come first: they end with
// the pedals.
func (h *held) release() (engine.Event, bool) {
	for channel := range h.keys {
		for half, word := range h.keys[channel] {
			if word != 0 {
				return engine.NoteOff(0, byte(channel), byte(half*64+bits.TrailingZeros64(word))), true
			}
		}
	}
	switch {
	case h.sustain != 0:
		return engine.Control(0, firstBit(h.sustain), engine.ControlHold, 0), true
	case h.sostenuto != 0:
		return engine.Control(0, firstBit(h.sostenuto), engine.ControlSostenuto, 0), true
	case h.bent != 0:
		return engine.Bend(0, firstBit(h.bent), engine.BendCentre), true
	}
	return engine.Event{}, false
}

func setBit(word *uint16, channel byte, on bool) {
	if *word &^= 1 << channel; on {
		*word |= 1 << channel
	}
}

func firstBit(word uint16) byte { return byte(bits.TrailingZeros16(word)) }
