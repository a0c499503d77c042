//go:build cgo && unix

// The MIDI side of the client.

package jack

// #include <stdlib.h>
// #include "midi.h"
// #include "jack.h"
import "C"

import (
	"strings"
	"time"
	"unsafe"
)

// MIDI is a connection to one server. Receive is for one thread at a time, all else for one other.
type MIDI struct {
	c        *C.midi_jack
	messages [64]C.midi_jack_message
	lost     [MIDIInputs]C.uint32_t
	still    stillness
}

// OpenMIDI is nil where no server runs.
func OpenMIDI() *MIDI {
	name := C.CString(ClientName)
	defer C.free(unsafe.Pointer(name))
	c := C.midi_jack_open(name)
	if c == nil {
		return nil
	}
	return &MIDI{c: c}
}

// Alive says whether the server is still there. It is to be asked about once a second: a server that asks for nothing
// in all that time counts as gone. One that ends while a client connects tells that client nothing: libjack (1.9)
// waits for it for ever.
func (m *MIDI) Alive() bool {
	if m.still.look(uint32(C.jack_periods()), time.Now()) {
		C.jack_abandon()
	}
	return C.midi_jack_alive(m.c) != 0
}

// Senders is all MIDI ports that send, the client's own left out.
func (m *MIDI) Senders() (senders []Sender) {
	var names [1 << 16]byte
	C.midi_jack_senders(m.c, (*C.char)(unsafe.Pointer(&names[0])), C.int(len(names)))
	text, _, _ := strings.Cut(string(names[:]), "\x00")
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		senders = append(senders, Sender{Name: line[1:], Hardware: line[0] == 'h'})
	}
	return senders
}

// Add makes an input and connects a sender to it, or none with "". It returns the input's number, or −1.
func (m *MIDI) Add(name, sender string) int {
	nameC, senderC := C.CString(name), C.CString(sender)
	defer C.free(unsafe.Pointer(nameC))
	defer C.free(unsafe.Pointer(senderC))
	return int(C.midi_jack_add(m.c, nameC, senderC))
}

// Remove takes an input away.
func (m *MIDI) Remove(input int) { C.midi_jack_remove(m.c, C.int(input)) }

// Receive puts what has come into messages, as much as there is room for, and returns how many. lost[input] becomes
// the count of all messages that found no room in the client and were due before those still to come. Audio thread:
// no allocation, lock or system call.
func (m *MIDI) Receive(messages []Message, lost *[MIDIInputs]uint32) int {
	room := min(len(messages), len(m.messages))
	count := int(C.midi_jack_receive(m.c, &m.messages[0], C.int(room), &m.lost[0]))
	for i, from := range m.messages[:count] {
		messages[i] = Message{uint64(from.at_micros), int(from.input), byte(from.status), byte(from.data1),
			byte(from.data2)}
	}
	for i := range lost {
		lost[i] = uint32(m.lost[i])
	}
	return count
}

// Micros is the JACK clock.
func (m *MIDI) Micros() uint64 { return uint64(C.midi_jack_micros(m.c)) }

// Close leaves the server; JACK asks for it after the server has ended, too. No call may follow, nor may one be under
// way.
func (m *MIDI) Close() { C.midi_jack_close(m.c) }
