// Package jack is this process's client of a JACK server: MIDI in and stereo out. libjack is loaded at run time, so
// that a program with this package runs where there is none; no server is ever started.
//
// Both sides share one client, since libjack 1.9 mixes up the wake-ups of two in one process. The callbacks of the
// server's audio thread are in C.
package jack

// ClientName is what the client is called on the server.
const ClientName = "lapstrake"

// MIDIInputs is how many MIDI inputs the client can have.
const MIDIInputs = 32

// Message is a channel message: when it is due on the JACK clock, and at which input.
//
// A system-exclusive message comes in pieces of two bytes: the first with the status 0xF0, the others with
// MoreExclusive.
type Message struct {
	AtMicros             uint64
	Input                int
	Status, Data1, Data2 byte
}

// MoreExclusive is the status of a piece of a system-exclusive message that is not its first.
const MoreExclusive = 0xF1

// Sender is a MIDI port of another client that sends.
type Sender struct {
	Name     string // in full
	Hardware bool   // not a program's
}
