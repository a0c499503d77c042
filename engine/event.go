// Event: one channel message of MIDI at a frame.

package engine

// The kinds of channel message: the upper four bits of the status byte (MIDI 1.0 Detailed
// Specification, table I).
const (
	KindNoteOff         byte = 0x80
	KindNoteOn          byte = 0x90
	KindKeyPressure     byte = 0xA0
	KindControl         byte = 0xB0
	KindProgram         byte = 0xC0
	KindChannelPressure byte = 0xD0
	KindBend            byte = 0xE0
)

// Controllers with a meaning of their own, and the channel mode messages (MIDI 1.0 Detailed Specification, table III
// and "Channel Mode Messages").
const (
	ControlVolume    = 7
	ControlHold      = 64
	ControlSostenuto = 66
	ControlSoundOff  = 120
	ControlReset     = 121
	ControlNotesOff  = 123 // and 124 to 127, which include it
)

// BendCentre is the pitch-bend value of a wheel at rest; the range is 0 to 16383.
const BendCentre = 8192

// Event is one channel message. Status is 0x80 to 0xEF, the data bytes are 0 to 127; Data2 is 0 in
// a message of one data byte. Frame counts from the start of the score or of the stream.
type Event struct {
	Frame                int64
	Status, Data1, Data2 byte
}

// Kind is one of the Kind constants.
func (e Event) Kind() byte { return e.Status & 0xF0 }

// Channel is 0 to 15, one less than the number a musician calls it by.
func (e Event) Channel() byte { return e.Status & 0x0F }

// DataBytes is how many data bytes the message has, 1 or 2 (MIDI 1.0, table I).
func (e Event) DataBytes() int {
	if kind := e.Kind(); kind == KindProgram || kind == KindChannelPressure {
		return 1
	}
	return 2
}

// BendValue is the 14-bit value of a pitch bend, 0 to 16383, of which the low seven bits come first.
func (e Event) BendValue() int { return int(e.Data1) | int(e.Data2)<<7 }

// NoteOn strikes a key, 0 to 127. A velocity of 0 is a note-off, as MIDI 1.0 has it.
func NoteOn(frame int64, channel, key, velocity byte) Event {
	return Event{frame, KindNoteOn | channel, key, velocity}
}

// NoteOff releases a key at the release velocity 64, which MIDI 1.0 gives to keyboards that do
// not measure it.
func NoteOff(frame int64, channel, key byte) Event {
	return Event{frame, KindNoteOff | channel, key, 64}
}

// Control moves a controller, 0 to 127, to a value from 0 to 127.
func Control(frame int64, channel, controller, value byte) Event {
	return Event{frame, KindControl | channel, controller, value}
}

// Bend moves the pitch-bend wheel to a value from 0 to 16383.
func Bend(frame int64, channel byte, value int) Event {
	return Event{frame, KindBend | channel, byte(value & 0x7F), byte(value >> 7 & 0x7F)}
}
