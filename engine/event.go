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

// What a tuning message does (MMA CA-020, CA-021, RP-020): no channel messages, and told apart from them by a Status
// that none has. Both may change the pitch of sounding notes, where Fine has TuneSounding.
const (
	// KindTuneKey gives the key Data1 a pitch in the tuning program Data2: Fine holds it in 2⁻¹⁴ semitones, 21 bits.
	KindTuneKey byte = 0xF0
	// KindTuneOctave moves all keys of the pitch class Data1, 0 for C: Fine holds by how much, 14 bits of which 0x2000
	// is nothing and 0x4000 a semitone up, and from bit 14 on a bit for each channel that is meant.
	KindTuneOctave byte = 0xF1

	TuneSounding      uint32 = 1 << 31
	tuneChannelsShift        = 14
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

// Event is one channel message, a part of a tuning message, or a turn. Status is 0x80 to 0xEF, or a Kind constant
// above; the data bytes are 0 to 127; Data2 is 0 in a message of one data byte. Frame counts from the start of the
// score or of the stream.
type Event struct {
	Frame                int64
	Status, Data1, Data2 byte
	Fine                 uint32 // of tuning messages and turns; else 0
}

// IsChannel says whether it is a channel message.
func (e Event) IsChannel() bool { return e.Status >= KindNoteOff && e.Status < KindTuneKey }

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
	return Event{Frame: frame, Status: KindNoteOn | channel, Data1: key, Data2: velocity}
}

// NoteOff releases a key at the release velocity 64, which MIDI 1.0 gives to keyboards that do
// not measure it.
func NoteOff(frame int64, channel, key byte) Event {
	return Event{Frame: frame, Status: KindNoteOff | channel, Data1: key, Data2: 64}
}

// Control moves a controller, 0 to 127, to a value from 0 to 127.
func Control(frame int64, channel, controller, value byte) Event {
	return Event{Frame: frame, Status: KindControl | channel, Data1: controller, Data2: value}
}

// Bend moves the pitch-bend wheel to a value from 0 to 16383.
func Bend(frame int64, channel byte, value int) Event {
	return Event{Frame: frame, Status: KindBend | channel, Data1: byte(value & 0x7F), Data2: byte(value >> 7 & 0x7F)}
}
