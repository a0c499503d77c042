// What holds for the latch whatever is played.

package live

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/engine"
)

// drawLatchEvent makes an event of few keys and channels, so that they meet.
func drawLatchEvent(t *rapid.T) engine.Event {
	channel, key := rapid.ByteRange(0, 1).Draw(t, "channel"), rapid.SampledFrom([]byte{0, 63, 64, 127}).Draw(t, "key")
	switch rapid.IntRange(0, 9).Draw(t, "kind") {
	case 0:
		return engine.Control(0, channel, rapid.ByteRange(118, 127).Draw(t, "number"), 0)
	case 1:
		return engine.Control(0, channel, 64, rapid.ByteRange(0, 127).Draw(t, "value"))
	case 2:
		return engine.NoteOn(0, channel, key, 0)
	case 3, 4, 5:
		return off(channel, key)
	default:
		return on(channel, key)
	}
}

// drawLatchBlock makes a block's events, in order.
func (r *latchRig) drawLatchBlock(t *rapid.T) []engine.Event {
	var events []engine.Event
	offset := int64(0)
	for range rapid.IntRange(0, 4).Draw(t, "events") {
		offset = min(offset+rapid.Int64Range(0, 20).Draw(t, "gap"), latchBlockFrames-1)
		events = append(events, r.at(offset, drawLatchEvent(t)))
	}
	return events
}

// stuck is the notes of a stream that nothing has let go; heard is the keys that an engine which
// hears all channels as one has on.
func stuck(events []engine.Event) (notes map[[2]byte]bool, heard [2]uint64) {
	notes = map[[2]byte]bool{}
	for _, event := range events {
		channel, key := event.Channel(), event.Data1
		switch {
		case event.Kind() == engine.KindControl && (key == 120 || key >= 123):
			for note := range notes {
				if note[0] == channel {
					delete(notes, note)
				}
			}
			heard = [2]uint64{}
		case isOff(event):
			delete(notes, [2]byte{channel, key})
			heard[key/64] &^= 1 << (key % 64)
		case event.Kind() == engine.KindNoteOn:
			notes[[2]byte{channel, key}] = true
			heard[key/64] |= 1 << (key % 64)
		}
	}
	return notes, heard
}

// Whatever comes and however the latch is switched, once all keys are up and it is off, every note
// has been let go.
func TestLatchLeavesNothingStuck(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := newLatchRig()
		for range rapid.IntRange(1, 30).Draw(t, "blocks") {
			r.Set(rapid.Bool().Draw(t, "latch"))
			r.block(r.drawLatchBlock(t)...)
		}
		offFirst := rapid.Bool().Draw(t, "switched off before the keys are up")
		r.Set(!offFirst)
		for _, channel := range []byte{0, 1} {
			for _, key := range []byte{0, 63, 64, 127} {
				r.block(r.at(0, off(channel, key)))
			}
		}
		r.Set(false)
		r.block()
		if notes, heard := stuck(r.out); len(notes) > 0 || heard != [2]uint64{} {
			t.Fatalf("stuck: %v, keys %#x are on, after %v", notes, heard, r.out)
		}
		if !slices.IsSortedFunc(r.out, func(a, b engine.Event) int { return int(a.Frame - b.Frame) }) {
			t.Fatalf("not in the order of frames: %v", r.out)
		}
	})
}

func TestLatchOffChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := newLatchRig()
		var in []engine.Event
		for range rapid.IntRange(1, 30).Draw(t, "blocks") {
			events := r.drawLatchBlock(t)
			in = append(in, events...)
			r.block(events...)
		}
		if !slices.Equal(r.out, in) {
			t.Fatalf("in went %v, out came %v", in, r.out)
		}
	})
}

// On all along, what sounds is every key struck since a key was last struck with none down.
func TestLatchHoldsTheLastChord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := newLatchRig()
		r.Set(true)
		down, chord := map[byte]bool{}, map[byte]bool{}
		for range rapid.IntRange(1, 60).Draw(t, "events") {
			key := rapid.ByteRange(60, 64).Draw(t, "key")
			if down[key] {
				delete(down, key)
				r.block(r.at(0, off(0, key)))
			} else {
				if len(down) == 0 {
					clear(chord)
				}
				down[key], chord[key] = true, true
				r.block(r.at(0, on(0, key)))
			}
			notes, _ := stuck(r.out)
			if len(notes) != len(chord) {
				t.Fatalf("sounding %v, the last chord is %v", notes, chord)
			}
			for key := range chord {
				if !notes[[2]byte{0, key}] {
					t.Fatalf("sounding %v, the last chord is %v", notes, chord)
				}
			}
		}
	})
}
