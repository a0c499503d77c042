// More bytes than any cable carries, and whatever may be wrong with them.

package midi

import (
	"math/rand/v2"
	"runtime"
	"runtime/metrics"
	"testing"

	"lapstrake/engine"
)

// Ten seconds of 10,000 messages a second, ten times what a MIDI cable carries, with all the dirt there
// is, into 64-frame blocks that stall at times for longer than the queue lasts.
func TestFloodEndsInSilence(t *testing.T) {
	d := newListener()
	d.applied = make([]engine.Event, 0, 256)
	input, err := d.arrivals.Open()
	if err != nil {
		t.Fatal(err)
	}
	var parser Parser
	random := rand.New(rand.NewPCG(7, 7))
	stream := make([]byte, 0, 1<<14)
	var believed rest
	applied := 0
	blocks := 10 * 48000 / 64
	var before, after uint64
	for i := range blocks {
		now := int64(i) * 64 * 1_000_000_000 / 48000
		stream = stream[:0]
		for range 13 { // of 13.3 messages a block
			stream = appendDirt(stream, random)
		}
		for len(stream) > 0 { // split anywhere
			n := min(1+random.IntN(7), len(stream))
			parser.parseInto(input, now, stream[:n])
			stream = stream[n:]
		}
		if i%1000 > 100 { // else stalled, for 130 ms
			d.block(now)
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
		t.Errorf("the heap's live bytes went from %d to %d; want no growth with the 120,000 messages between", before,
			after)
	}
	if d.arrivals.Dropped() == 0 || applied < 50000 {
		t.Errorf("%d messages dropped, %d applied; want a flood", d.arrivals.Dropped(), applied)
	}
	// The player takes the hands off; all that was lost is let go. What is still held was pressed after
	// the last loss, and its release arrives.
	now := int64(10.5e9)
	for channel := range byte(16) {
		for key := range byte(128) {
			if input.Push(now, engine.KindNoteOff|channel, key, 64); key%64 == 63 {
				d.block(now)
			}
		}
		input.Push(now, engine.KindControl|channel, engine.ControlHold, 0)
		input.Push(now, engine.KindControl|channel, engine.ControlSostenuto, 0)
		input.Push(now, engine.KindBend|channel, 0, 64)
	}
	d.settle(now)
	for _, e := range d.applied {
		believed.note(e)
	}
	if believed != (rest{}) {
		t.Errorf("held after the flood: %+v", believed)
	}
}

// rest is what a listener believes not to be at rest, by channel.
type rest struct {
	keys   [16][128]bool
	pedals [16][2]bool
	bent   [16]bool
}

func (r *rest) note(e engine.Event) {
	channel := e.Channel()
	switch e.Kind() {
	case engine.KindNoteOn, engine.KindNoteOff:
		r.keys[channel][e.Data1] = e.Kind() == engine.KindNoteOn && e.Data2 > 0
	case engine.KindBend:
		r.bent[channel] = e.BendValue() != engine.BendCentre
	case engine.KindControl:
		switch e.Data1 {
		case engine.ControlHold:
			r.pedals[channel][0] = e.Data2 > 0
		case engine.ControlSostenuto:
			r.pedals[channel][1] = e.Data2 > 0
		}
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
