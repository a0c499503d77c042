package midi

import (
	"math/rand/v2"
	"testing"

	"lapstrake/engine"
	"lapstrake/engine/live"
)

// Tunings come through whole, however the bytes are cut and whatever stands between them, and notes beside them too;
// what is broken off, too long or about something else says nothing.
func TestTuningsAmongNotes(t *testing.T) {
	dump := append([]byte{0xF0, 0x7E, 0x00, 0x08, 0x01, 2}, "harbour bells   "...)
	sum := byte(0x7E ^ 0x08 ^ 0x01 ^ 2)
	for _, b := range dump[6:] {
		sum ^= b
	}
	for key := range byte(128) {
		dump = append(dump, key, 0x10, 0)
		sum ^= key ^ 0x10
	}
	dump = append(dump, sum&0x7F, 0xF7)
	change := []byte{0xF0, 0x7F, 0x7F, 0x08, 0x02, 0, 1, 60, 61, 0, 0, 0xF7}
	other := []byte{0xF0, 0x43, 0x10, 0x4C, 0x00, 0x00, 0x7E, 0x00, 0xF7}
	broken := []byte{0xF0, 0x7F, 0x7F, 0x08, 0x02, 0, 1, 60, 61}
	long := append(append([]byte{0xF0, 0x7F, 0x7F, 0x08, 0x02, 0, 1}, make([]byte, 5000)...), 0xF7)
	note := []byte{0x90, 60, 100, 0x80, 60, 64}
	var stream []byte
	for _, part := range [][]byte{dump, note, change, other, broken, note, long, note, change} {
		stream = append(stream, part...)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		arrivals := live.NewArrivals(48000)
		input, err := arrivals.Open()
		if err != nil {
			t.Fatal(err)
		}
		var parser Parser
		for rest := stream; len(rest) > 0; {
			n := min(1+random.IntN(40), len(rest))
			parser.parseInto(input, 1000, append([]byte{0xF8}, rest[:n]...)) // the clock ticks between
			rest = rest[n:]
		}
		var notes, keys []engine.Event
		arrivals.Begin(0, 4800, 2000)
		for event, some := arrivals.Peek(); some; event, some = arrivals.Peek() {
			if arrivals.Pop(); event.IsChannel() {
				notes = append(notes, event)
			} else {
				keys = append(keys, event)
			}
		}
		if len(notes) != 6 || len(keys) != 130 {
			t.Fatalf("%d notes and %d tunings came through, want 6 and 130", len(notes), len(keys))
		}
		for i, event := range keys[:128] {
			if event.Data1 != byte(i) || event.Data2 != 2 || event.Fine != uint32(i)<<14|0x10<<7 {
				t.Fatalf("key %d of the dump: %+v", i, event)
			}
		}
		if last := keys[129]; last.Data1 != 60 || last.Fine != 61<<14|engine.TuneSounding || arrivals.Dropped() != 0 {
			t.Fatalf("the change: %+v; %d lost", last, arrivals.Dropped())
		}
	}
}
