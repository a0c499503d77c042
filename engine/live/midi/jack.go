//go:build cgo && unix

// MIDI ports of JACK: our own port and others'.

package live

// #include <stdlib.h>
// #include "midi_jack.h"
import "C"

import (
	"errors"
	"math"
	"strings"
	"sync/atomic"
	"unsafe"
)

const (
	jackInPort = "midi_in"
	jackInName = jackClient + ":" + jackInPort
)

// jackPorts is our client of a JACK server. Where none runs, every list looks for one anew; when it
// ends, the list is empty until there is one again.
type jackPorts struct {
	arrivals *Arrivals // nil: ports are only listed
	client   *jackMIDI
}

// jackMIDI is a connection to one server. Its messages are fetched by the audio thread itself: one that
// came in a period is there for the next, however busy the machine is with other threads.
type jackMIDI struct {
	c       *C.midi_jack
	aheadNs int64 // of the JACK clock, before Now
	sources [C.midi_jack_inputs]atomic.Pointer[Source]

	// The audio thread's own.
	messages   [64]C.midi_jack_message
	lost, seen [C.midi_jack_inputs]C.uint32_t
}

func (j *jackPorts) list() (ports []Port) {
	if j.client != nil && C.midi_jack_alive(j.client.c) == 0 {
		j.close()
	}
	if j.client == nil {
		if j.client = openJackMIDI(); j.client == nil {
			return nil
		}
		if j.arrivals != nil {
			j.arrivals.setFetch(j.client.fetch)
		}
	}
	ports = append(ports, Port{Name: jackInName, API: jackAPI, own: true})
	var names [1 << 16]byte
	C.midi_jack_senders(j.client.c, (*C.char)(unsafe.Pointer(&names[0])), C.int(len(names)))
	text, _, _ := strings.Cut(string(names[:]), "\x00")
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		ports = append(ports, Port{Name: line[1:], API: jackAPI, program: line[0] == 'p'})
	}
	return ports
}

// openJackMIDI is nil where no server runs.
func openJackMIDI() *jackMIDI {
	name := C.CString(jackClient)
	defer C.free(unsafe.Pointer(name))
	c := C.midi_jack_open(name)
	if c == nil {
		return nil
	}
	return &jackMIDI{c: c, aheadNs: jackAheadNs(c)}
}

// close ends the connection. JACK asks for it after the server has ended, too.
func (j *jackPorts) close() {
	if j.client == nil {
		return
	}
	if j.arrivals != nil {
		j.arrivals.setFetch(nil)
	}
	C.midi_jack_close(j.client.c)
	j.client = nil
}

// jackInput is one of our ports.
type jackInput struct {
	ports  *jackPorts
	client *jackMIDI
	number int
}

func (j *jackPorts) open(port Port, source *Source) (portInput, error) {
	if j.client == nil {
		return nil, errors.New("the JACK server has ended")
	}
	var number int
	if port.own {
		number = j.client.add(jackInPort, "", source)
	} else {
		number = j.client.add(strings.ReplaceAll(port.Name, ":", " "), port.Name, source)
	}
	if number < 0 {
		return nil, errors.New("JACK makes no connection to it; expected a port that sends MIDI: see jack_lsp -t")
	}
	return &jackInput{j, j.client, number}, nil
}

func (j *jackMIDI) add(name, sender string, source *Source) int {
	nameC, senderC := C.CString(name), C.CString(sender)
	defer C.free(unsafe.Pointer(nameC))
	defer C.free(unsafe.Pointer(senderC))
	number := int(C.midi_jack_add(j.c, nameC, senderC))
	if number >= 0 {
		j.sources[number].Store(source)
	}
	return number
}

func (i *jackInput) lost() bool { return i.ports.client != i.client }

func (i *jackInput) close(bool) {
	i.client.sources[i.number].Store(nil)
	if !i.lost() { // else the port has ended with the connection
		C.midi_jack_remove(i.client.c, C.int(i.number))
	}
}

// fetch hands over what has come. A message keeps its place in its period: it is pushed with the time at
// which it is due. Audio thread: no allocation, lock or system call.
func (j *jackMIDI) fetch() {
	for count := len(j.messages); count == len(j.messages); {
		count = int(C.midi_jack_receive(j.c, &j.messages[0], C.int(len(j.messages)), &j.lost[0]))
		for _, m := range j.messages[:count] {
			if source := j.sources[m.input].Load(); source != nil {
				source.Push(int64(m.at_micros)*1000-j.aheadNs, byte(m.status), byte(m.data1), byte(m.data2))
			}
		}
	}
	for i, lost := range j.lost {
		if source := j.sources[i].Load(); source != nil && lost != j.seen[i] {
			source.lose(int64(lost - j.seen[i]))
		}
		j.seen[i] = lost
	}
}

// jackAheadNs is how far the JACK clock is ahead of Now: the most exact of some readings.
func jackAheadNs(c *C.midi_jack) (aheadNs int64) {
	leastNs := int64(math.MaxInt64)
	for range 20 {
		before := Now()
		jackNs := int64(C.midi_jack_micros(c)) * 1000
		after := Now()
		if after-before < leastNs {
			leastNs, aheadNs = after-before, jackNs-(before+after)/2
		}
	}
	return aheadNs
}
