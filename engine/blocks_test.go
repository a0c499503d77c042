// The same sound whatever the host's block lengths, at the frame where it belongs, without allocations.

package engine

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// busyProject has two ranks and two layers of noise, few voices and both kinds of shift.
func busyProject(t testing.TB) *project {
	p := newProject(t)
	p.Polyphony = 16
	one, other := p.bed("one.wav", noiseOf(seconds(0.5), 1, 0.3)), p.bed("other.wav", noiseOf(seconds(0.5), 2, 0.3))
	p.zone("low", 60, 0, one, other)
	p.zone("high", 66, 0.7, other, one)
	return p
}

// drawEvents draws events in order, of all the kinds that the player knows, on keys 48 to 72.
func drawEvents(t *rapid.T, frames int) []Event {
	events := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Event {
		frame := rapid.Int64Range(0, int64(frames)-1).Draw(t, "frame")
		key, value := byte(rapid.IntRange(48, 72).Draw(t, "key")), byte(rapid.IntRange(0, 127).Draw(t, "value"))
		switch rapid.IntRange(0, 6).Draw(t, "kind") {
		case 0, 1, 2:
			return NoteOn(frame, 0, key, value)
		case 3:
			return NoteOff(frame, 0, key)
		case 4:
			return Bend(frame, 0, int(value)<<7)
		case 5:
			return Control(frame, 0, rapid.SampledFrom([]byte{64, 66}).Draw(t, "pedal"), value)
		}
		return Control(frame, 0, rapid.SampledFrom([]byte{1, 33, 7, 11, 120, 121, 123}).Draw(t, "controller"), value)
	}), 1, 60).Draw(t, "events")
	slices.SortStableFunc(events, func(a, b Event) int { return int(a.Frame - b.Frame) })
	return events
}

func TestBlockLengthsDoNotMatter(t *testing.T) {
	const frames = 8192
	p := busyProject(t)
	p.open(Settings{}) // saves the map
	open := func(r *rapid.T) *Engine {
		e, err := Open(p.path(), Settings{MemoryBytes: 8 << 20})
		if err != nil {
			r.Fatal(err)
		}
		r.Cleanup(func() { e.Close() })
		return e
	}
	rapid.Check(t, func(r *rapid.T) {
		events := drawEvents(r, frames)
		once, again := open(r), open(r)
		want := play(once, frames, events...)

		list := NewList(events)
		var got []float32
		length := rapid.OneOf(rapid.IntRange(1, 4096), rapid.IntRange(1, 130))
		fixed := rapid.Bool().Draw(r, "fixed")
		n := length.Draw(r, "block")
		for len(got) < len(want)+2*again.LatencyFrames() {
			if !fixed {
				n = length.Draw(r, "block")
			}
			block := make([]float32, 2*n)
			again.Fill()
			again.Render(block, list)
			got = append(got, block...)
		}
		got = got[2*again.LatencyFrames():][:len(want)]
		for i := range want {
			if got[i] != want[i] {
				r.Fatalf("frame %d: %v, in blocks of 1024: %v", i/2, got[i], want[i])
			}
		}
		if missed := once.Stats().Misses + again.Stats().Misses; missed != 0 {
			r.Fatalf("%d misses in a render that reads ahead", missed)
		}
	})
}

// Every block length from 1 to 4096 in one render.
func TestEveryBlockLength(t *testing.T) {
	p := busyProject(t)
	const frames = 40000
	events := []Event{NoteOn(3, 0, 60, 100), Control(1001, 0, 1, 127), NoteOn(5077, 0, 64, 90), Bend(9001, 0, 3),
		NoteOff(20001, 0, 60)}
	want := play(p.open(Settings{}), frames, events...)
	for _, length := range []int{1, 2, 3, 63, 64, 65, 127, 441, 511, 512, 1000, 2047, 4096} {
		e := p.open(Settings{})
		list, got := NewList(events), make([]float32, 2*(frames+e.LatencyFrames()))
		for rest := got; len(rest) > 0; rest = rest[min(2*length, len(rest)):] {
			e.Fill()
			e.Render(rest[:min(2*length, len(rest))], list)
		}
		if !slices.Equal(got[2*e.LatencyFrames():], want) {
			t.Errorf("blocks of %d frames give other samples", length)
		}
	}
}

func TestTwoRendersAreTheSameBytes(t *testing.T) {
	p := busyProject(t)
	var renders [2][]byte
	for i := range renders {
		out := play(p.open(Settings{}), 30000, NoteOn(0, 0, 60, 100), NoteOn(777, 0, 65, 20), Control(8001, 0, 1, 3),
			Bend(11111, 0, 16383))
		renders[i], _ = binary.Append(nil, binary.LittleEndian, out)
	}
	if !bytes.Equal(renders[0], renders[1]) {
		t.Error("two renders of one score differ")
	}
}

// The sound begins in the frame after the note-on, which itself is the silent first frame of the attack.
func TestNotesBeginAtTheirFrame(t *testing.T) {
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 60, 0, p.bed("flat.wav", stereoOf(seconds(0.5),
		func(int) (left, right float64) { return 0.5, 0.5 })))
	for _, attackSec := range []float64{0, 0.001, 0.05} {
		p.AttackSec = attackSec
		for _, frame := range []int64{0, 1, 63, 64, 65, 1000, 4095} {
			e := p.open(Settings{})
			out := play(e, 8192, NoteOn(frame, 0, 60, 127))
			first := int64(slices.IndexFunc(out, func(x float32) bool { return x != 0 }) / 2)
			if first < frame || first > frame+1 {
				t.Errorf("attack %v s: a note at frame %d begins at %d", attackSec, frame, first)
			}
		}
	}
}

func TestRenderAllocatesNothing(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	var events []Event
	for frame := int64(0); frame < 300_000; frame += 1 + random.Int64N(150) {
		key, value := byte(40+random.IntN(50)), byte(random.IntN(128))
		switch random.IntN(10) {
		case 0, 1:
			events = append(events, NoteOn(frame, 0, key, value))
		case 2:
			events = append(events, NoteOff(frame, 0, key))
		case 3:
			events = append(events, Bend(frame, 0, int(value)<<7))
		case 4:
			events = append(events, Control(frame, 0, []byte{64, 66, 120, 121, 123}[random.IntN(5)], value))
		case 5:
			events = append(events, Control(frame, 0, []byte{1, 33, 7, 11}[random.IntN(4)], value))
		case 6:
			events = append(events, Event{frame, KindTuneKey, key, 0, uint32(key)<<14 + uint32(value) | TuneSounding})
		case 7:
			events = append(events, Event{frame, KindTuneOctave, key % 12, 0,
				0x3FFFC000 | uint32(value)<<7 | TuneSounding})
		case 8:
			events = append(events, Control(frame, byte(random.IntN(16)), []byte{6, 38, 96, 100, 101}[random.IntN(5)],
				value%7))
		case 9:
			events = append(events, Event{Frame: frame,
				Status: []byte{KindKeyPressure, KindChannelPressure}[random.IntN(2)], Data1: key, Data2: value})
		}
	}
	list := NewList(events)
	e := busyProject(t).open(Settings{}) // nobody reads ahead: voices miss frames too
	block := make([]float32, 2*256)
	if n := testing.AllocsPerRun(1000, func() { e.Render(block, list) }); n != 0 {
		t.Errorf("Render allocates %v times a block", n)
	}
	if stats := e.Stats(); stats.Stolen == 0 || stats.Voices == 0 {
		t.Errorf("the test is too tame: %+v", stats)
	}
}
