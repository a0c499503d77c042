// MIDI ports of JACK: our own port and others'.

package midi

import (
	"errors"
	"math"
	"strings"
	"sync/atomic"

	"lapstrake/engine/live"
	"lapstrake/engine/live/jack"
)

const (
	jackInPort = "midi_in"
	jackInName = jack.ClientName + ":" + jackInPort
)

// jackPorts is our client of a JACK server. Where none runs, every list looks for one anew; when it
// ends, the list is empty until there is one again.
type jackPorts struct {
	arrivals *live.Arrivals // nil: ports are only listed
	client   *jackClient
}

// jackClient is a connection to one server. Its messages are fetched by the audio thread itself: one that
// came in a period is there for the next, however busy the machine is with other threads.
type jackClient struct {
	*jack.MIDI
	aheadNs int64 // of the JACK clock, before live.Now
	inputs  [jack.MIDIInputs]atomic.Pointer[live.Input]

	// The audio thread's own.
	messages   [64]jack.Message
	lost, seen [jack.MIDIInputs]uint32
	exclusive  [jack.MIDIInputs]Parser // of what comes in pieces
}

func (j *jackPorts) list() (ports []Port) {
	if j.client != nil && !j.client.Alive() {
		j.close()
	}
	if j.client == nil {
		if j.client = openJACK(); j.client == nil {
			return nil
		}
		if j.arrivals != nil {
			j.arrivals.SetFetch(j.client.fetch)
		}
	}
	ports = append(ports, Port{Name: jackInName, API: jackAPI, own: true})
	for _, sender := range j.client.Senders() {
		ports = append(ports, Port{Name: sender.Name, API: jackAPI, program: !sender.Hardware})
	}
	return ports
}

// openJACK is nil where no server runs.
func openJACK() *jackClient {
	client := jack.OpenMIDI()
	if client == nil {
		return nil
	}
	return &jackClient{MIDI: client, aheadNs: jackAheadNs(client)}
}

// close ends the connection.
func (j *jackPorts) close() {
	if j.client == nil {
		return
	}
	if j.arrivals != nil {
		j.arrivals.SetFetch(nil)
	}
	j.client.Close()
	j.client = nil
}

// jackPort is one of our ports, open.
type jackPort struct {
	ports  *jackPorts
	client *jackClient
	number int
}

func (j *jackPorts) open(port Port, input *live.Input) (openPort, error) {
	if j.client == nil {
		return nil, errors.New("the JACK server has ended")
	}
	name, sender := strings.ReplaceAll(port.Name, ":", " "), port.Name
	if port.own {
		name, sender = jackInPort, ""
	}
	number := j.client.Add(name, sender)
	if number < 0 {
		return nil, errors.New("it went while it was being opened; it is opened when it is back")
	}
	j.client.inputs[number].Store(input)
	return &jackPort{j, j.client, number}, nil
}

func (p *jackPort) lost() bool { return p.ports.client != p.client }

func (p *jackPort) close(bool) {
	p.client.inputs[p.number].Store(nil)
	if !p.lost() { // else the port has ended with the connection
		p.client.Remove(p.number)
	}
}

// fetch hands over what has come. A message keeps its place in its period: it is pushed with the time at
// which it is due. Audio thread: no allocation, lock or system call.
func (j *jackClient) fetch() {
	for count := len(j.messages); count == len(j.messages); {
		count = j.Receive(j.messages[:], &j.lost)
		for _, m := range j.messages[:count] {
			input := j.inputs[m.Input].Load()
			if input == nil {
				continue
			}
			atNs, bytes := int64(m.AtMicros)*1000-j.aheadNs, [3]byte{m.Status, m.Data1, m.Data2}
			switch m.Status {
			case 0xF0:
				j.exclusive[m.Input].parseInto(input, atNs, bytes[:])
			case jack.MoreExclusive:
				j.exclusive[m.Input].parseInto(input, atNs, bytes[1:])
			default:
				input.Push(atNs, m.Status, m.Data1, m.Data2)
			}
		}
	}
	for i, lost := range j.lost {
		if input := j.inputs[i].Load(); input != nil && lost != j.seen[i] {
			input.Lose(int64(lost - j.seen[i]))
		}
		j.seen[i] = lost
	}
}

// jackAheadNs is how far the JACK clock is ahead of live.Now: the most exact of some readings.
func jackAheadNs(client *jack.MIDI) (aheadNs int64) {
	leastNs := int64(math.MaxInt64)
	for range 20 {
		before := live.Now()
		jackNs := int64(client.Micros()) * 1000
		after := live.Now()
		if after-before < leastNs {
			leastNs, aheadNs = after-before, jackNs-(before+after)/2
		}
	}
	return aheadNs
}
