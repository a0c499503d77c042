//go:build cgo

// MIDI ports of the operating system, by RtMidi, and of JACK, by our own client.

package midi

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"sync/atomic"

	"gitlab.com/gomidi/midi/v2/drivers/rtmididrv/imported/rtmidi"

	"lapstrake/engine/live"
	"lapstrake/engine/live/jack"
)

// systemPorts is all APIs that RtMidi was built with but JACK. RtMidi stamps what comes by JACK with
// the start of the period, does not notice when the server ends, and prints to the terminal where
// there is none; jackPorts does not.
type systemPorts struct {
	listers map[rtmidi.API]rtmidi.MIDIIn // kept, since each is a client of its system
	jack    jackPorts
}

func newPortSystem(arrivals *live.Arrivals) (portSystem, error) {
	return &systemPorts{listers: map[rtmidi.API]rtmidi.MIDIIn{}, jack: jackPorts{arrivals: arrivals}}, nil
}

func (s *systemPorts) list() ([]Port, error) {
	var ports []Port
	var failed error
	for _, api := range rtmidi.CompiledAPI() {
		if api == rtmidi.APIUnixJack || api == rtmidi.APIDummy || !present(api) {
			continue
		}
		names, err := s.names(api)
		if err != nil {
			failed = err
		}
		for _, name := range names {
			ports = append(ports, Port{Name: name, API: api.String()})
		}
	}
	// What JACK calls hardware is, as a rule, a bridge to the same keyboards.
	bridged := len(ports) > 0
	for _, port := range s.jack.list() {
		if port.own || port.program || !bridged {
			ports = append(ports, port)
		}
	}
	return numberAlike(ports), failed
}

// present says whether an API has something to talk to. Without the ALSA sequencer RtMidi would
// print to the terminal.
func present(api rtmidi.API) bool {
	if api != rtmidi.APILinuxALSA {
		return true
	}
	_, err := os.Stat("/dev/snd/seq")
	return err == nil
}

// names is the names of an API's ports, at the numbers that RtMidi has for them just now. RtMidi's own
// errors are not passed on: their text is gone by the time they reach us.
func (s *systemPorts) names(api rtmidi.API) ([]string, error) {
	lister := s.listers[api]
	if lister == nil {
		var err error
		if lister, err = rtmidi.NewMIDIIn(api, jack.ClientName, 0); err != nil {
			return nil, fmt.Errorf("MIDI by %v cannot be used: it takes no new client; expected one more to be "+
				"possible: close other music programs", api)
		}
		s.listers[api] = lister
	}
	names, err := portNames(lister)
	if err != nil { // and RtMidi stays in that state
		lister.Destroy()
		delete(s.listers, api)
		return nil, fmt.Errorf("MIDI by %v does not list its ports; they are asked for again", api)
	}
	return names, nil
}

func portNames(in rtmidi.MIDIIn) (names []string, err error) {
	count, err := in.PortCount()
	if err != nil {
		return nil, err
	}
	for i := range count {
		name, err := in.PortName(i)
		if err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, nil
}

func (s *systemPorts) open(port Port, input *live.Input) (openPort, error) {
	if port.API == jackAPI {
		return s.jack.open(port, input)
	}
	for _, api := range rtmidi.CompiledAPI() {
		if api.String() == port.API {
			return openSystemPort(api, port, input)
		}
	}
	return nil, errors.New("there is no such system")
}

func (s *systemPorts) close() {
	for _, lister := range s.listers {
		lister.Destroy()
	}
	s.jack.close()
}

// systemPort is a port opened by RtMidi.
type systemPort struct {
	in     rtmidi.MIDIIn
	to     atomic.Pointer[live.Input] // nil once closed
	parser Parser                     // RtMidi's thread
}

func openSystemPort(api rtmidi.API, port Port, input *live.Input) (openPort, error) {
	in, err := rtmidi.NewMIDIIn(api, jack.ClientName, 0)
	if err != nil {
		return nil, fmt.Errorf("%v takes no new client; expected one more to be possible: close other music programs",
			api)
	}
	// Numbers shift when a port comes or goes: take the one that has the name now.
	names, err := portNames(in)
	number := slices.IndexFunc(numbered(names, port.API), func(p Port) bool { return p.Name == port.Name })
	if err != nil || number < 0 {
		in.Destroy()
		return nil, errors.New("it went while it was being opened")
	}
	open := &systemPort{in: in}
	open.to.Store(input)
	// System exclusive is let through for the sake of tunings; timing and sensing are not.
	if in.IgnoreTypes(false, true, true) != nil || in.SetCallback(open.arrived) != nil ||
		in.OpenPort(number, "in") != nil {
		open.close(true)
		return nil, errors.New("it cannot be opened; expected a port that is free: close what else uses it")
	}
	return open, nil
}

func numbered(names []string, api string) (ports []Port) {
	for _, name := range names {
		ports = append(ports, Port{Name: name, API: api})
	}
	return numberAlike(ports)
}

// arrived runs on RtMidi's thread.
func (s *systemPort) arrived(_ rtmidi.MIDIIn, bytes []byte, _ float64) {
	atNs := live.Now()
	if input := s.to.Load(); input != nil {
		s.parser.parseInto(input, atNs, bytes)
	}
}

func (s *systemPort) lost() bool { return false } // RtMidi does not tell

// close ends the input. The binding forgets the callback before RtMidi's thread has ended and would
// fall over a message that comes between. A port that has gone sends none; one that has not is only
// silenced, and closed by the system when the program ends.
func (s *systemPort) close(gone bool) {
	s.to.Store(nil)
	if gone && s.in.Close() != nil { // which then has not freed it
		s.in.Destroy()
	}
}
