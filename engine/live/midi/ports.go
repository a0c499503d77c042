// Package midi opens MIDI ports and raw byte streams, and hands what comes through them to a live.Arrivals. It keeps
// the ports open: one that goes is closed, one that comes back is opened again.
package midi

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"lapstrake/engine/live"
)

// Port is a MIDI port that sends, as a system calls it: API is "alsa", "jack", "coreaudio" or
// "winmm". Of ports of the same name the second is called "name #2", and so on.
type Port struct {
	Name, API string

	program bool // sent by another program; opened only when asked for by name
	own     bool // ours for others to connect to; always open
}

func (p Port) String() string { return p.Name + " (" + p.API + ")" }

// portSystem is where ports are found and opened. One goroutine at a time.
type portSystem interface {
	list() ([]Port, error)
	open(port Port, input *live.Input) (openPort, error)
	close()
}

// openPort is an open port. lost says that nothing can come through it any more, even if a port of
// its name is there again. After close nothing is pushed to its input; gone says that the port has gone,
// else the program is about to end.
type openPort interface {
	lost() bool
	close(gone bool)
}

// jackAPI is the API of JACK's ports.
const jackAPI = "jack"

// checkEvery is how often ports are looked for. No system tells us when one comes or goes.
const checkEvery = time.Second

// Ports keeps MIDI inputs open: all, or those whose name contains one of some parts. A port that
// goes is closed and what was held through it is released; one that comes, or comes back under its
// name, is opened.
type Ports struct {
	arrivals *live.Arrivals
	parts    []string // in lower case
	report   func(string)
	system   portSystem

	guard   sync.Mutex
	inputs  []heardPort
	refused []string // reported, not to be said again while it is so
	stop    chan struct{}
	stopped chan struct{}
}

type heardPort struct {
	port  Port
	open  openPort
	input *live.Input
}

// OpenPorts opens the inputs there are and goes on looking for more until Close. With no parts it
// opens every keyboard or other device; other programs' ports are opened when a part names them.
// Where there is JACK, any program may connect to our own port midi_in. What happens to ports is
// told to report, a line at a time, from one goroutine at a time.
func OpenPorts(arrivals *live.Arrivals, parts []string, report func(string)) (*Ports, error) {
	system, err := newPortSystem(arrivals)
	if err != nil {
		return nil, err
	}
	p := newPorts(system, arrivals, parts, report)
	p.check()
	p.reportMissing()
	go p.run()
	return p, nil
}

// List is all MIDI ports that can be opened now.
func List() ([]Port, error) {
	system, err := newPortSystem(nil)
	if err != nil {
		return nil, err
	}
	defer system.close()
	ports, err := system.list()
	return slices.DeleteFunc(ports, func(p Port) bool { return p.own }), err
}

func newPorts(system portSystem, arrivals *live.Arrivals, parts []string, report func(string)) *Ports {
	p := &Ports{
		arrivals: arrivals, report: report, system: system,
		stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	for _, part := range parts {
		p.parts = append(p.parts, strings.ToLower(part))
	}
	return p
}

func (p *Ports) run() {
	defer close(p.stopped)
	ticker := time.NewTicker(checkEvery)
	defer ticker.Stop()
	for {
		select {
		case <-p.stop:
			return
		case <-ticker.C:
			p.check()
		}
	}
}

// Close ends the looking and all inputs, and releases what is held through them. It is for the end of
// the program: nothing may be opened again.
func (p *Ports) Close() {
	close(p.stop)
	<-p.stopped
	p.closeAll()
}

func (p *Ports) closeAll() {
	p.guard.Lock()
	defer p.guard.Unlock()
	for _, heard := range p.inputs {
		heard.close(false)
	}
	p.inputs = nil
	p.system.close()
}

// close ends the input first: what still comes in goes before the releases.
func (h heardPort) close(gone bool) {
	h.open.close(gone)
	h.input.Close()
}

// check compares what is open with what there is.
func (p *Ports) check() {
	p.guard.Lock()
	defer p.guard.Unlock()
	found, err := p.system.list()
	refused := p.refused
	p.refused = nil
	if err != nil {
		p.sayOnce(refused, err.Error())
	}
	p.inputs = slices.DeleteFunc(p.inputs, func(heard heardPort) bool {
		if slices.Contains(found, heard.port) && !heard.open.lost() {
			return false
		}
		heard.close(true)
		p.report(fmt.Sprintf("MIDI input %v has gone: it was unplugged, or its program has ended; its notes are "+
			"released, it plays again when it is back", heard.port))
		return true
	})
	for _, port := range found {
		if !p.wants(port) || slices.ContainsFunc(p.inputs, func(h heardPort) bool { return h.port == port }) {
			continue
		}
		if err := p.openOne(port); err != nil {
			p.sayOnce(refused, fmt.Sprintf("MIDI input %v: %v", port, err))
		}
	}
}

func (p *Ports) openOne(port Port) error {
	input, err := p.arrivals.Open()
	if err != nil {
		return err
	}
	open, err := p.system.open(port, input)
	if err != nil {
		input.Close()
		return err
	}
	p.inputs = append(p.inputs, heardPort{port, open, input})
	p.report(fmt.Sprintf("MIDI input %v is open", port))
	return nil
}

// sayOnce reports what was not already the case at the last check.
func (p *Ports) sayOnce(before []string, line string) {
	p.refused = append(p.refused, line)
	if !slices.Contains(before, line) {
		p.report(line)
	}
}

func (p *Ports) wants(port Port) bool {
	if port.own || len(p.parts) == 0 {
		return !port.program
	}
	return slices.ContainsFunc(p.parts, port.contains)
}

func (p Port) contains(part string) bool { return strings.Contains(strings.ToLower(p.Name), part) }

// reportMissing says which parts no open port has.
func (p *Ports) reportMissing() {
	for _, part := range p.parts {
		if !slices.ContainsFunc(p.inputs, func(h heardPort) bool { return h.port.contains(part) }) {
			p.report(fmt.Sprintf("no MIDI input has %q in its name yet; it is opened when it appears; there %s", part,
				p.present()))
		}
	}
}

// present tells what there is now.
func (p *Ports) present() string {
	found, _ := p.system.list() // an error has been reported
	var names []string
	for _, port := range found {
		if !port.own {
			names = append(names, port.String())
		}
	}
	if len(names) == 0 {
		return "is none now"
	}
	return "are now: " + strings.Join(names, ", ")
}

// numberAlike makes names unique within each API.
func numberAlike(ports []Port) []Port {
	type key struct{ name, api string }
	counts := map[key]int{}
	for i := range ports {
		k := key{ports[i].Name, ports[i].API}
		if counts[k]++; counts[k] > 1 {
			ports[i].Name = fmt.Sprintf("%s #%d", ports[i].Name, counts[k])
		}
	}
	return ports
}
