// Keys are transposed and let go of as they were struck; bound messages ask and do not sound.

package live

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/engine"
)

// handsRig feeds events to hands and takes what comes out, block by block.
type handsRig struct {
	*Hands
	put *engine.QueueIn
}

func newHandsRig() handsRig {
	put, take := engine.NewQueue(1024)
	return handsRig{NewHands(take), put}
}

func (r handsRig) block(events ...engine.Event) (out []engine.Event) {
	for _, event := range events {
		r.put.Push(event)
	}
	r.Begin()
	for {
		event, found := r.Peek()
		if !found {
			return out
		}
		if again, _ := r.Peek(); again != event {
			panic("two peeks differ")
		}
		r.Pop()
		out = append(out, event)
	}
}

func requireEvents(t *testing.T, what string, got []engine.Event, want ...engine.Event) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

func TestHandsTranspose(t *testing.T) {
	r := newHandsRig()
	pedal := engine.Control(0, 0, 64, 127)
	pressed := func(key byte) engine.Event {
		return engine.Event{Status: engine.KindKeyPressure, Data1: key, Data2: 90}
	}
	requireEvents(t, "untransposed", r.block(on(0, 60), pedal, off(0, 60)), on(0, 60), pedal, off(0, 60))
	requireEvents(t, "held", r.block(on(0, 60)), on(0, 60))
	r.Transpose(12)
	requireEvents(t, "let go of as it was struck", r.block(on(0, 64), off(0, 60), off(0, 64)), on(0, 76),
		off(0, 60), off(0, 76))
	requireEvents(t, "struck before", r.block(on(0, 60)), on(0, 72))
	requireEvents(t, "pressed", r.block(pressed(60), pressed(61)), pressed(72), pressed(61))
	r.Transpose(-1)
	requireEvents(t, "struck again without a note-off", r.block(on(0, 60), off(0, 60)), off(0, 72),
		on(0, 59), off(0, 59))
	requireEvents(t, "beyond the lowest key", r.block(on(0, 0), on(0, 1)), on(0, 0))
	if r.Transpose(500); r.Transposed() != 127 {
		t.Errorf("transposed by %d, want at most 127", r.Transposed())
	}
	r.Channel = 2
	requireEvents(t, "another channel", r.block(on(3, 60)), on(3, 60))
}

// Whatever is played and transposed meanwhile, every key that began has ended once all are up.
func TestHandsLeaveNoKeyDown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := newHandsRig()
		var sounding, down [128]bool
		hear := func(events []engine.Event) {
			for _, e := range events {
				sounding[e.Data1] = !isOff(e)
			}
		}
		for range rapid.IntRange(1, 60).Draw(t, "blocks") {
			r.Transpose(rapid.IntRange(-30, 30).Draw(t, "semitones"))
			key := byte(rapid.IntRange(0, 127).Draw(t, "key"))
			if down[key] = rapid.Bool().Draw(t, "down"); down[key] {
				hear(r.block(on(0, key)))
			} else {
				hear(r.block(off(0, key)))
			}
		}
		for key := range byte(128) {
			if down[key] {
				hear(r.block(off(0, key)))
			}
		}
		if sounding != [128]bool{} {
			t.Fatalf("keys sound on: %v", sounding)
		}
	})
}

func TestBoundMessagesAskAndDoNotSound(t *testing.T) {
	r := newHandsRig()
	r.Bind(Trigger{Number: 21})
	r.Bind(Trigger{Controller: true, Number: 80})
	control := func(value byte) engine.Event { return engine.Control(0, 0, 80, value) }
	requireEvents(t, "bound", r.block(on(0, 21), off(0, 21), control(10), control(70), control(127), control(0),
		control(64), on(0, 22)), on(0, 22))
	for _, want := range []Trigger{{false, 21}, {true, 80}, {true, 80}} {
		if got, some := r.Asked(); !some || got != want {
			t.Errorf("asked %v (%v), want %v", got, some, want)
		}
	}
	if got, some := r.Asked(); some {
		t.Errorf("asked %v too", got)
	}
}

func TestHandsAllocateNothing(t *testing.T) {
	r := newHandsRig()
	r.Bind(Trigger{Number: 21})
	shift := 0
	if allocs := testing.AllocsPerRun(100, func() {
		shift++
		r.Transpose(shift % 12)
		for _, e := range [...]engine.Event{on(0, 60), on(0, 60), on(0, 21), off(0, 60)} {
			r.put.Push(e)
		}
		r.Begin()
		for {
			if _, found := r.Peek(); !found {
				break
			}
			r.Pop()
		}
		r.Asked()
	}); allocs != 0 {
		t.Errorf("%v allocations a block, expected none", allocs)
	}
}

// A chord rests once the latch alone holds it.
func TestLatchTellsOfAChordAtRest(t *testing.T) {
	r := newLatchRig()
	r.Set(true)
	r.block(on(0, 60))
	if r.block(); r.Resting() {
		t.Error("it rests while a hand is on a key")
	}
	r.block(off(0, 60))
	if r.block(); !r.Resting() {
		t.Error("it does not rest with the hands off")
	}
	r.Set(false)
	r.block()
	if r.block(); r.Resting() {
		t.Error("it rests without the latch")
	}
}
