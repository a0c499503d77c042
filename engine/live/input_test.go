package live

import (
	"runtime"
	"sync"
	"testing"

	"lapstrake/engine"
)

// down is what a listener to applied events believes to be held.
func down(events []engine.Event) (h held) {
	for _, e := range events {
		h.note(e)
	}
	return h
}

// settle lets the device run on until all that has been pushed is applied.
func (d *device) settle(nowNs float64) float64 {
	for range 200 {
		nowNs += 64 / d.rateHz * 1e9
		d.block(64, nowNs)
	}
	return nowNs
}

func TestFullQueueLeavesNoNoteStuck(t *testing.T) {
	d := newDevice(48000)
	input := newInput(t, d.arrivals)
	d.block(64, 0)
	for key := range byte(128) {
		input.Push(0, engine.KindNoteOn|key%16, key, 100)
	}
	input.Push(0, engine.KindControl|3, engine.ControlHold, 127)
	input.Push(0, engine.KindControl|4, engine.ControlSostenuto, 127)
	input.Push(0, engine.KindBend|5, 0, 0)
	for range inputCapacity { // fills the queue
		input.Push(0, engine.KindControl, 1, 1)
	}
	for key := range byte(128) { // lost, and nothing comes after
		input.Push(0, engine.KindNoteOff|key%16, key, 64)
	}
	if d.arrivals.Dropped() == 0 {
		t.Fatal("nothing was dropped")
	}
	now := d.settle(0)
	if h := down(d.applied); h != (held{}) {
		t.Errorf("held after the flood: %+v", h)
	}
	// What is played after a flood is not cut off by it.
	input.Push(int64(now), engine.KindNoteOn, 60, 100)
	d.settle(now)
	var want held
	want.note(engine.NoteOn(0, 0, 60, 100))
	if h := down(d.applied); h != want {
		t.Errorf("held: %+v; want key 60 alone", h)
	}
}

func TestCloseReleasesWhatIsHeld(t *testing.T) {
	d := newDevice(48000)
	keyboard, other := newInput(t, d.arrivals), newInput(t, d.arrivals)
	d.block(64, 0)
	keyboard.Push(0, engine.KindNoteOn, 60, 100)
	keyboard.Push(0, engine.KindControl, engine.ControlHold, 127)
	other.Push(0, engine.KindNoteOn, 72, 100)
	now := d.settle(0)
	keyboard.Push(int64(now), engine.KindNoteOn, 61, 100) // still on its way
	keyboard.Close()
	keyboard.Push(int64(now), engine.KindNoteOn, 62, 100)
	d.settle(now)
	var want held
	want.note(engine.NoteOn(0, 0, 72, 100))
	if h := down(d.applied); h != want {
		t.Errorf("held: %+v; want the other keyboard's key 72 alone", h)
	}
	// Their places are free again.
	for range maxInputs - 1 {
		newInput(t, d.arrivals)
	}
	if _, err := d.arrivals.Open(); err == nil {
		t.Error("a 33rd input was given")
	}
}

// A keyboard may be unplugged while its thread pushes and the audio thread takes.
func TestCloseWhilePushing(t *testing.T) {
	d := newDevice(48000)
	var pushing sync.WaitGroup
	var inputs []*Input
	for range 8 {
		input := newInput(t, d.arrivals)
		inputs = append(inputs, input)
		pushing.Go(func() {
			for i := range 5000 {
				input.Push(Now(), engine.KindNoteOn, byte(i)&127, byte(i)&64)
				if i%64 == 0 {
					runtime.Gosched()
				}
			}
		})
	}
	now := 0.0
	for i := range 2000 {
		now = float64(Now())
		d.block(64, now)
		if i%100 == 99 && i/100 < len(inputs) {
			inputs[i/100].Close()
		}
		runtime.Gosched()
	}
	pushing.Wait()
	d.settle(now + 1e9)
	if h := down(d.applied); h != (held{}) {
		t.Errorf("held after all are closed: %+v", h)
	}
}
