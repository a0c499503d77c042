// The system-exclusive messages of the MIDI Tuning Standard (MMA CA-020, CA-021, RP-020), read into events and
// written.

package engine

import (
	"math"

	"lapstrake/mapping"
)

// The bytes that such a message begins with, and its kinds. A device of 7F is all.
const (
	systemExclusive    = 0xF0
	systemExclusiveEnd = 0xF7
	universal          = 0x7E // not in real time: sounding notes keep their pitch
	universalNow       = 0x7F // in real time: sounding notes change theirs
	tuningStandard     = 0x08

	bulkDump       = 0x01 // program, name, 128 pitches, checksum
	noteChange     = 0x02 // program, count, that many keys with their pitches
	bankDump       = 0x04 // bank, program, name, 128 pitches, checksum
	octaveDump     = 0x05 // bank, program, name, 12 bytes, checksum
	octaveDumpFine = 0x06 // the same with 12 × 2 bytes
	bankNoteChange = 0x07 // bank, program, count, keys with their pitches
	octave         = 0x08 // 3 bytes of channels, 12 bytes
	octaveFine     = 0x09 // the same with 12 × 2 bytes

	nameBytes = 16
)

// MostTuningBytes is the length of the longest message that AppendTuning knows, what opens and ends it left out.
const MostTuningBytes = 6 + nameBytes + 3*(mapping.HighestKey+1) + 1

// AppendTuning appends what a system-exclusive message says of tunings; body is all of it but the F0 and the F7. A
// message that is about something else, is cut short, names a bank other than the first, or has a wrong checksum, says
// nothing.
func AppendTuning(events []Event, body []byte) []Event {
	if len(body) < 5 || body[0] != universal && body[0] != universalNow || body[2] != tuningStandard {
		return events
	}
	sounding := uint32(0)
	if body[0] == universalNow {
		sounding = TuneSounding
	}
	kind, rest := body[3], body[4:]
	switch kind {
	case bankDump, octaveDump, octaveDumpFine, bankNoteChange:
		if rest[0] != 0 {
			return events
		}
		rest = rest[1:]
	}
	switch kind {
	case bulkDump, bankDump, octaveDump, octaveDumpFine:
		if !sumsUp(body) || len(rest) < 1+nameBytes+1 {
			return events
		}
		program, values := rest[0], rest[1+nameBytes:len(rest)-1]
		switch {
		case kind == octaveDump:
			return appendOctaveKeys(events, program, values, 1)
		case kind == octaveDumpFine:
			return appendOctaveKeys(events, program, values, 2)
		case len(values) == 3*(mapping.HighestKey+1):
			for key := range mapping.HighestKey + 1 {
				events = appendKey(events, program, byte(key), values[3*key:], 0)
			}
		}
	case noteChange, bankNoteChange:
		if len(rest) < 2 || len(rest) != 2+4*int(rest[1]) {
			return events
		}
		for i := range int(rest[1]) {
			at := rest[2+4*i:]
			events = appendKey(events, rest[0], at[0], at[1:], sounding)
		}
	case octave:
		return appendOctave(events, rest, 1, sounding)
	case octaveFine:
		return appendOctave(events, rest, 2, sounding)
	}
	return events
}

// sumsUp says whether the last byte of a dump is the exclusive or of all others.
func sumsUp(body []byte) bool {
	sum := byte(0)
	for _, b := range body[:len(body)-1] {
		sum ^= b
	}
	return sum&0x7F == body[len(body)-1]
}

// appendKey appends one key's pitch: a semitone and 14 bits of a fraction. 7F 7F 7F changes nothing.
func appendKey(events []Event, program, key byte, pitch []byte, sounding uint32) []Event {
	if pitch[0] == 0x7F && pitch[1] == 0x7F && pitch[2] == 0x7F {
		return events
	}
	fine := uint32(pitch[0])<<14 | uint32(pitch[1])<<7 | uint32(pitch[2])
	return append(events, Event{Status: KindTuneKey, Data1: key, Data2: program, Fine: fine | sounding})
}

// bent14 is a value of an octave message as 14 bits of which 0x2000 is in tune and 0x2000 more a semitone up. One byte
// says cents from -64 on.
func bent14(value []byte, size int) int {
	if size == 2 {
		return int(value[0])<<7 | int(value[1])
	}
	cents := float64(value[0]) - 64
	return 0x2000 + int(math.Round(cents/100*0x2000))
}

// appendOctave appends the twelve pitch classes of some channels.
func appendOctave(events []Event, rest []byte, size int, sounding uint32) []Event {
	if len(rest) != 3+12*size {
		return events
	}
	channels := uint32(rest[2]) | uint32(rest[1])<<7 | uint32(rest[0]&3)<<14
	for class := range 12 {
		fine := uint32(bent14(rest[3+class*size:], size)) | channels<<tuneChannelsShift | sounding
		events = append(events, Event{Status: KindTuneOctave, Data1: byte(class), Fine: fine})
	}
	return events
}

// appendOctaveKeys appends a whole program whose octaves are alike.
func appendOctaveKeys(events []Event, program byte, values []byte, size int) []Event {
	if len(values) != 12*size {
		return events
	}
	for key := range mapping.HighestKey + 1 {
		pitch := key<<14 + (bent14(values[key%12*size:], size)-0x2000)<<1
		pitch = min(max(pitch, 0), 1<<21-2)
		events = append(events, Event{Status: KindTuneKey, Data1: byte(key), Data2: program, Fine: uint32(pitch)})
	}
	return events
}

// octaves is what octave messages have said so far of each channel: one class of one event stands in a message of
// twelve.
type octaves [16][12]uint16

func newOctaves() *octaves {
	o := &octaves{}
	for channel := range o {
		for class := range o[channel] {
			o[channel][class] = 0x2000
		}
	}
	return o
}

// appendMessage appends the message that says what a tuning event does, after its F0 and with its F7.
func (o *octaves) appendMessage(message []byte, event Event) []byte {
	begin := byte(universal)
	if event.Fine&TuneSounding != 0 {
		begin = universalNow
	}
	if event.Status == KindTuneKey {
		return append(message, begin, 0x7F, tuningStandard, bankNoteChange, 0, event.Data2, 1, event.Data1,
			byte(event.Fine>>14&0x7F), byte(event.Fine>>7&0x7F), byte(event.Fine&0x7F), systemExclusiveEnd)
	}
	channels := event.Fine >> tuneChannelsShift & 0xFFFF
	message = append(message, begin, 0x7F, tuningStandard, octaveFine, byte(channels>>14), byte(channels>>7&0x7F),
		byte(channels&0x7F))
	first := -1
	for channel := range o {
		if channels>>channel&1 != 0 {
			o[channel][event.Data1%12] = uint16(event.Fine & 0x3FFF)
			if first < 0 {
				first = channel
			}
		}
	}
	for class := range 12 {
		value := uint16(0x2000)
		if first >= 0 {
			value = o[first][class]
		}
		message = append(message, byte(value>>7), byte(value&0x7F))
	}
	return append(message, systemExclusiveEnd)
}
