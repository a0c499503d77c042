// Checks that the event queue keeps order, loses nothing and allocates nothing.

package engine

import (
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Whatever order the two ends are used in, the queue behaves like a slice of at most its capacity.
func TestQueueBehavesLikeASlice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		capacity := rapid.IntRange(1, 9).Draw(t, "capacity")
		in, out := NewQueue(capacity)
		var model []Event
		next := int64(0)
		t.Repeat(map[string]func(*rapid.T){
			"push": func(t *rapid.T) {
				next++
				event := NoteOn(next, 0, byte(next&127), 100)
				if got, want := in.Push(event), len(model) < capacity; got != want {
					t.Fatalf("push with %d of %d held: %v, want %v", len(model), capacity, got, want)
				} else if got {
					model = append(model, event)
				}
			},
			"peek": func(t *rapid.T) {
				got, some := out.Peek()
				if some != (len(model) > 0) || some && got != model[0] {
					t.Fatalf("peek: %v %v, held %v", got, some, model)
				}
			},
			"pop": func(*rapid.T) {
				out.Pop()
				model = slices.Delete(model, 0, min(1, len(model)))
			},
		})
	})
}

func TestQueueHoldsAtLeastOne(t *testing.T) {
	for _, capacity := range []int{-1, 0, 1} {
		in, out := NewQueue(capacity)
		if !in.Push(NoteOff(1, 0, 60)) || in.Push(NoteOff(2, 0, 60)) {
			t.Errorf("capacity %d: wanted room for exactly one event", capacity)
		}
		if event, _ := out.Peek(); event.Frame != 1 {
			t.Errorf("capacity %d: the event pushed at frame 1 came out as %v", capacity, event)
		}
	}
}

// Two goroutines at once: under -race this is also the proof that a slot is published before it is read.
func TestQueueBetweenGoroutines(t *testing.T) {
	const count = 200_000
	in, out := NewQueue(100)
	go func() {
		for frame := int64(0); frame < count; {
			if in.Push(Bend(frame, byte(frame&15), int(frame&16383))) {
				frame++
			} else {
				runtime.Gosched()
			}
		}
	}()
	for frame := int64(0); frame < count; {
		got, some := out.Peek()
		if !some {
			runtime.Gosched()
			continue
		}
		if want := Bend(frame, byte(frame&15), int(frame&16383)); got != want {
			t.Fatalf("event %d came out as %v, want %v", frame, got, want)
		}
		out.Pop()
		frame++
	}
	if event, some := out.Peek(); some {
		t.Errorf("%v came out after the last event", event)
	}
}

func TestQueueAllocatesNothing(t *testing.T) {
	in, out := NewQueue(4)
	if n := testing.AllocsPerRun(100, func() {
		for range 5 {
			in.Push(NoteOn(0, 0, 60, 100))
		}
		for range 5 {
			out.Peek()
			out.Pop()
		}
	}); n != 0 {
		t.Errorf("%v allocations, want 0", n)
	}
}

// Channel messages as MIDI 1.0 writes them: 9nH is note-on; a bend sends its low seven bits first, 8192 centred.
func TestEventBytes(t *testing.T) {
	for _, c := range []struct {
		got  Event
		want [3]byte
	}{
		{NoteOn(0, 2, 60, 96), [3]byte{0x92, 0x3C, 0x60}},
		{NoteOff(0, 15, 60), [3]byte{0x8F, 0x3C, 0x40}},
		{Control(0, 0, 64, 127), [3]byte{0xB0, 0x40, 0x7F}},
		{Bend(0, 1, BendCentre), [3]byte{0xE1, 0x00, 0x40}},
		{Bend(0, 1, 16383), [3]byte{0xE1, 0x7F, 0x7F}},
	} {
		if got := [3]byte{c.got.Status, c.got.Data1, c.got.Data2}; got != c.want {
			t.Errorf("%X, want %X", got, c.want)
		}
	}
	if bend := Bend(0, 3, 5000); bend.BendValue() != 5000 || bend.Kind() != KindBend || bend.Channel() != 3 {
		t.Errorf("bend of 5000 on channel 3 reads back as %d, kind %X, channel %d",
			bend.BendValue(), bend.Kind(), bend.Channel())
	}
}

func BenchmarkQueuePushPop(b *testing.B) {
	in, out := NewQueue(1024)
	for range b.N {
		in.Push(Event{})
		out.Pop()
	}
}
