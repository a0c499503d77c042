package live

import (
	"math/rand/v2"
	"runtime"
	"runtime/metrics"
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
	source := newSource(t, d.arrivals)
	d.block(64, 0)
	for key := range byte(128) {
		source.Push(0, engine.KindNoteOn|key%16, key, 100)
	}
	source.Push(0, engine.KindControl|3, engine.ControlHold, 127)
	source.Push(0, engine.KindControl|4, engine.ControlSostenuto, 127)
	source.Push(0, engine.KindBend|5, 0, 0)
	for range sourceCapacity { // fills the queue
		source.Push(0, engine.KindControl, 1, 1)
	}
	for key := range byte(128) { // lost, and nothing comes after
		source.Push(0, engine.KindNoteOff|key%16, key, 64)
	}
	if d.arrivals.Dropped() == 0 {
		t.Fatal("nothing was dropped")
	}
	now := d.settle(0)
	if h := down(d.applied); h != (held{}) {
		t.Errorf("held after the flood: %+v", h)
	}
	// What is played after a flood is not cut off by it.
	source.Push(int64(now), engine.KindNoteOn, 60, 100)
	d.settle(now)
	var want held
	want.note(engine.NoteOn(0, 0, 60, 100))
	if h := down(d.applied); h != want {
		t.Errorf("held: %+v; want key 60 alone", h)
	}
}

func TestCloseReleasesWhatIsHeld(t *testing.T) {
	d := newDevice(48000)
	keyboard, other := newSource(t, d.arrivals), newSource(t, d.arrivals)
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
	for range maxSources - 1 {
		newSource(t, d.arrivals)
	}
	if _, err := d.arrivals.Source(); err == nil {
		t.Error("a 33rd source was given")
	}
}

// A keyboard may be unplugged while its thread pushes and the audio thread takes.
func TestCloseWhilePushing(t *testing.T) {
	d := newDevice(48000)
	var pushing sync.WaitGroup
	var sources []*Source
	for range 8 {
		source := newSource(t, d.arrivals)
		sources = append(sources, source)
		pushing.Go(func() {
			for i := range 5000 {
				source.Push(Now(), engine.KindNoteOn, byte(i)&127, byte(i)&64)
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
		if i%100 == 99 && i/100 < len(sources) {
			sources[i/100].Close()
		}
		runtime.Gosched()
	}
	pushing.Wait()
	d.settle(now + 1e9)
	if h := down(d.applied); h != (held{}) {
		t.Errorf("held after all are closed: %+v", h)
	}
}

// Ten seconds of 10,000 messages a second, ten times what a MIDI cable carries, with all the dirt there
// is, into 64-frame blocks that stall at times for longer than the queue lasts.
func TestFloodEndsInSilence(t *testing.T) {
	d := newDevice(48000)
	d.applied = make([]engine.Event, 0, 256)
	source := newSource(t, d.arrivals)
	var parser Parser
	random := rand.New(rand.NewPCG(7, 7))
	stream := make([]byte, 0, 1<<14)
	var believed held
	applied := 0
	blocks := 10 * 48000 / 64
	var before, after uint64
	for i := range blocks {
		now := float64(i) * 64 / 48000 * 1e9
		stream = stream[:0]
		for range 13 { // of 13.3 messages a block
			stream = appendDirt(stream, random)
		}
		for len(stream) > 0 { // split anywhere
			n := min(1+random.IntN(7), len(stream))
			parser.parseInto(source, int64(now), stream[:n])
			stream = stream[n:]
		}
		if i%1000 > 100 { // else stalled, for 130 ms
			d.block(64, now)
		}
		for _, e := range d.applied {
			believed.note(e)
		}
		applied += len(d.applied)
		d.applied = d.applied[:0]
		switch i {
		case blocks / 10:
			before = heapBytes()
		case blocks - 1:
			after = heapBytes()
		}
	}
	if after > before+64<<10 { // half a byte a message
		t.Errorf("the heap's live bytes went from %d to %d; want no growth with the 120,000 messages between", before, after)
	}
	if d.arrivals.Dropped() == 0 || applied < 50000 {
		t.Errorf("%d messages dropped, %d applied; want a flood", d.arrivals.Dropped(), applied)
	}
	// The player takes the hands off; all that was lost is let go. What is still held was pressed after
	// the last loss, and its release arrives.
	now := 10.5e9
	for channel := range byte(16) {
		for key := range byte(128) {
			if source.Push(int64(now), engine.KindNoteOff|channel, key, 64); key%64 == 63 {
				d.block(64, now)
			}
		}
		source.Push(int64(now), engine.KindControl|channel, engine.ControlHold, 0)
		source.Push(int64(now), engine.KindControl|channel, engine.ControlSostenuto, 0)
		source.Push(int64(now), engine.KindBend|channel, 0, 64)
	}
	d.settle(now)
	for _, e := range d.applied {
		believed.note(e)
	}
	if believed != (held{}) {
		t.Errorf("held after the flood: %+v", believed)
	}
}

// appendDirt adds one message, or what is none.
func appendDirt(stream []byte, random *rand.Rand) []byte {
	data := func() byte { return byte(random.IntN(128)) }
	switch random.IntN(20) {
	case 0:
		return append(stream, data(), data(), data()) // running status, or nothing
	case 1:
		return append(stream, 0xF8, 0xFE)
	case 2:
		return append(stream, 0xF3, 1, 2, 3)
	case 3:
		stream = append(stream, 0xF0)
		for range random.IntN(500) {
			stream = append(stream, data())
		}
		return append(stream, 0xF7)
	case 4:
		return append(stream, 0x90, data()) // cut off by the next
	case 5:
		return append(stream, 0xB0|byte(random.IntN(16)), engine.ControlHold+byte(random.IntN(3)), data())
	}
	status := 0x80 + byte(random.IntN(0x70))
	if status>>4 == 0xC || status>>4 == 0xD {
		return append(stream, status, data())
	}
	return append(stream, status, data(), 0xF8, data())
}

func heapBytes() uint64 {
	runtime.GC()
	sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}
