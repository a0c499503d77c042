package midi

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"lapstrake/engine"
	"lapstrake/engine/live"
)

// fakeSystem is ports that a test plugs in and out.
type fakeSystem struct {
	ports   []Port
	failing error                // of list
	busy    map[string]error     // of open, by name
	opened  map[Port]*live.Input // what is open
	lost    map[Port]bool        // what is open and dead
	ended   bool
}

func (f *fakeSystem) list() ([]Port, error) { return slices.Clone(f.ports), f.failing }

func (f *fakeSystem) open(port Port, input *live.Input) (openPort, error) {
	if err := f.busy[port.Name]; err != nil {
		return nil, err
	}
	f.opened[port] = input
	return fakeInput{f, port}, nil
}

func (f *fakeSystem) close() { f.ended = true }

type fakeInput struct {
	system *fakeSystem
	port   Port
}

func (i fakeInput) lost() bool { return i.system.lost[i.port] }

func (i fakeInput) close(bool) { delete(i.system.opened, i.port) }

// rig is Ports on a fakeSystem, checked when the test says and not by the clock.
type rig struct {
	*Ports
	system   *fakeSystem
	listener *listener
	said     []string
}

func newRig(parts []string, ports ...Port) *rig {
	r := &rig{
		system:   &fakeSystem{ports: ports, busy: map[string]error{}, opened: map[Port]*live.Input{}},
		listener: newListener(),
	}
	r.Ports = newPorts(r.system, r.listener.arrivals, parts, func(line string) { r.said = append(r.said, line) })
	r.check()
	r.reportMissing()
	return r
}

func (r *rig) names() (names []string) {
	for _, heard := range r.inputs {
		names = append(names, heard.port.Name)
	}
	slices.Sort(names)
	return names
}

var (
	keys   = Port{Name: "Keystep: MIDI 1", API: "alsa"}
	faders = Port{Name: "Fader Box", API: "alsa"}
	tracks = Port{Name: "Sequencer:out", API: "jack", program: true}
	ours   = Port{Name: "lapstrake:midi_in", API: "jack", own: true}
)

func TestWhichPortsAreOpened(t *testing.T) {
	for _, c := range []struct {
		parts, want []string
	}{
		{nil, []string{"Fader Box", "Keystep: MIDI 1", "lapstrake:midi_in"}},
		{[]string{"KEYSTEP"}, []string{"Keystep: MIDI 1", "lapstrake:midi_in"}},
		{[]string{"box", "sequ"}, []string{"Fader Box", "Sequencer:out", "lapstrake:midi_in"}},
		{[]string{"organ"}, []string{"lapstrake:midi_in"}},
	} {
		r := newRig(c.parts, keys, faders, tracks, ours)
		if got := r.names(); !slices.Equal(got, c.want) {
			t.Errorf("parts %v opens %v; want %v", c.parts, got, c.want)
		}
		const want = `"organ" in its name yet; it is opened when it appears; there are now: Keystep: MIDI 1 (alsa), ` +
			`Fader Box`
		said := strings.Join(r.said, "\n")
		if slices.Contains(c.parts, "organ") != strings.Contains(said, want) {
			t.Errorf("parts %v says %q", c.parts, said)
		}
		r.closeAll()
		if len(r.system.opened) > 0 || !r.system.ended {
			t.Errorf("after the end %v are open", r.system.opened)
		}
	}
}

func TestPortIsUnpluggedAndComesBack(t *testing.T) {
	r := newRig(nil, keys, faders)
	defer r.closeAll()
	r.listener.block(0)
	r.system.opened[keys].Push(0, engine.KindNoteOn, 60, 100)
	r.system.opened[faders].Push(0, engine.KindNoteOn, 72, 100)
	now := r.listener.settle(0)

	r.system.ports = []Port{faders}
	r.check()
	now = r.listener.settle(now)
	if keys := r.listener.held(); !slices.Equal(keys, []byte{72}) {
		t.Errorf("held after unplugging: %v; want key 72 alone", keys)
	}
	r.check() // says nothing more
	r.system.ports = []Port{faders, keys}
	r.check()
	r.system.opened[keys].Push(now, engine.KindNoteOn, 61, 100)
	r.listener.settle(now)
	if keys := r.listener.held(); !slices.Equal(keys, []byte{61, 72}) {
		t.Errorf("held after coming back: %v; want keys 61 and 72", keys)
	}
	if len(r.said) != 4 || !strings.Contains(r.said[2], "Keystep: MIDI 1 (alsa) has gone") ||
		!strings.Contains(r.said[3], "is open") {
		t.Errorf("said %q", r.said)
	}
}

// A server that ended and came back between two checks has a port of the same name that is not ours yet.
func TestPortComesBackBetweenChecks(t *testing.T) {
	r := newRig(nil, ours)
	defer r.closeAll()
	first := r.system.opened[ours]
	r.system.lost = map[Port]bool{ours: true}
	r.check()
	if second := r.system.opened[ours]; second == nil || second == first {
		t.Errorf("the port was not opened anew; said %q", r.said)
	}
}

// Fifty times in and out takes no more places than one.
func TestReplugging(t *testing.T) {
	r := newRig(nil, keys)
	defer r.closeAll()
	for range 50 {
		r.system.ports = nil
		r.check()
		r.listener.settle(r.listener.frame * 1_000_000_000 / 48000)
		r.system.ports = []Port{keys}
		r.check()
		if len(r.inputs) != 1 {
			t.Fatalf("said %q", r.said)
		}
	}
}

func TestTroubleIsSaidOnce(t *testing.T) {
	r := newRig(nil, keys)
	defer r.closeAll()
	r.said = nil
	r.system.busy["Fader Box"] = errors.New("it is in use")
	r.system.ports = append(r.system.ports, faders)
	r.system.failing = errors.New("MIDI by winmm does not answer")
	for range 5 {
		r.check()
	}
	if len(r.said) != 2 || !strings.Contains(r.said[1], "Fader Box (alsa): it is in use") {
		t.Errorf("said %q; want each trouble once", r.said)
	}
	delete(r.system.busy, "Fader Box")
	r.check()
	if len(r.inputs) != 2 {
		t.Errorf("open: %v; want both", r.inputs)
	}
}

func TestPortsOfOneNameAreNumbered(t *testing.T) {
	ports := numberAlike([]Port{keys, faders, keys, {Name: keys.Name, API: "jack"}, keys})
	want := []string{keys.Name, faders.Name, keys.Name + " #2", keys.Name, keys.Name + " #3"}
	for i, port := range ports {
		if port.Name != want[i] {
			t.Errorf("port %d is %q; want %q", i, port.Name, want[i])
		}
	}
}
