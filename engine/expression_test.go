// Each note's own expression and tuning, in floods and nonsense.

package engine

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"lapstrake/mapping"
	"lapstrake/voices"
)

// lowerZone makes all other channels members of the first one's zone (MMA RP-053: registered parameter 6).
func lowerZone() []Event {
	return []Event{Control(0, 0, 101, 0), Control(0, 0, 100, 6), Control(0, 0, 6, 15)}
}

// flood is a zone of MPE in which something changes every few frames: bends, pressures and timbres of the notes, their
// keys' pitches, whole octaves and programs of tuning.
func flood(frames, every int64) []Event {
	random, events := rand.New(rand.NewPCG(5, 6)), lowerZone()
	for frame := int64(0); frame < frames; frame += every {
		channel, key, value := byte(1+random.IntN(15)), byte(48+random.IntN(25)), byte(random.IntN(128))
		events = append(events, []Event{
			NoteOn(frame, channel, key, value),
			{Frame: frame, Status: KindNoteOff | channel, Data1: key, Data2: value},
			Bend(frame, channel, int(value)<<7),
			Control(frame, channel, 74, value),
			{Frame: frame, Status: KindChannelPressure | channel, Data1: value},
			{Frame: frame, Status: KindKeyPressure | channel, Data1: key, Data2: value},
			{frame, KindTuneKey, key, value % 2, uint32(key)<<14 + uint32(value)<<5 | TuneSounding},
			{frame, KindTuneOctave, key % 12, 0, 0x3FFFC000 | uint32(value)<<7 | TuneSounding},
			Control(frame, channel, []byte{6, 38, 96, 97, 100, 101}[random.IntN(6)], value%7),
		}[random.IntN(9)])
	}
	return events
}

// The audio thread allocates nothing in a flood, whatever pressure moves.
func TestFloodAllocatesNothing(t *testing.T) {
	for _, by := range []mapping.MovedBy{mapping.MovedByController, mapping.MovedByPressure, mapping.MovedByBoth} {
		p := busyProject(t)
		p.Dynamics.By = by
		e, list, block := p.open(Settings{}), NewList(flood(300_000, 8)), make([]float32, 2*256)
		if n := testing.AllocsPerRun(1000, func() { e.Render(block, list) }); n != 0 {
			t.Errorf("by %s: Render allocates %v times a block", by, n)
		}
		if stats := e.Stats(); stats.Voices == 0 {
			t.Errorf("by %s: the test is too tame: %+v", by, stats)
		}
	}
}

// BenchmarkExpression renders blocks of a held chord by turns with messages of the volume and with as many of MPE,
// tuning and pressure, 1500 a second, and tells how the longest in a thousand compare.
func BenchmarkExpression(b *testing.B) {
	p := busyProject(b)
	p.Polyphony = 64
	const blockFrames, every, ahead = 256, 32, 200
	frames := int64(b.N+ahead) * blockFrames
	var chord []Event
	for k := range byte(15) {
		chord = append(chord, NoteOn(0, 1+k, 48+k, 100))
	}
	plain, expressive := slices.Clone(chord), append(lowerZone(), chord...)
	for _, event := range flood(frames, every) {
		if kind := event.Kind(); kind != KindNoteOn && kind != KindNoteOff { // the voices stay the same
			expressive = append(expressive, event)
		}
		plain = append(plain, Control(event.Frame, 0, 11, 64+event.Data1%64))
	}
	lists := [2]*List{NewList(plain), NewList(expressive)}
	var engines [2]*Engine
	for i := range engines {
		engines[i] = p.open(Settings{Quality: voices.Standard})
	}
	block, took := make([]float32, 2*blockFrames), [2][]time.Duration{}
	for n := range b.N + ahead {
		for i, e := range engines {
			e.Fill()
			begun := time.Now()
			e.Render(block, lists[i])
			if n >= ahead { // past the heads
				took[i] = append(took[i], time.Since(begun))
			}
		}
	}
	for i := range took {
		slices.Sort(took[i])
	}
	at := func(i int, part float64) float64 { return float64(took[i][int(part*float64(len(took[i])-1))]) }
	b.ReportMetric(at(0, 0.5)/1e3, "µs_plain")
	b.ReportMetric(at(1, 0.5)/at(0, 0.5), "median_ratio")
	b.ReportMetric(at(1, 0.999)/at(0, 0.999), "p99.9_ratio")
}

// Whatever messages come, in whatever order, the sound is finite and under the ceiling, and ends with them.
func FuzzMessages(f *testing.F) {
	p := busyProject(f)
	p.save()
	var seed []byte
	for _, event := range flood(400, 8) {
		seed = append(seed, 8, event.Status, event.Data1, event.Data2)
	}
	f.Add(seed)
	f.Add([]byte{0, 0xB0, 101, 0, 0, 0xB0, 100, 6, 0, 0xB0, 6, 127, 0, 0xBF, 6, 15, 9, 0x95, 60, 1, 3, 0xD5, 127, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		const most, eachFrames = 100, 16
		var events []Event
		frame := int64(0)
		for ; len(data) >= 4 && len(events) < most; data = data[4:] {
			frame += int64(data[0]) % eachFrames
			event := Event{Frame: frame, Status: data[1] | 0x80, Data1: data[2] & 0x7F, Data2: data[3] & 0x7F}
			if event.Status >= KindTuneKey {
				event.Status, event.Fine = KindTuneKey+event.Status%2, uint32(data[3])<<13|TuneSounding
			}
			events = append(events, event)
		}
		for channel := range byte(16) {
			events = append(events, Control(frame+1, channel, 120, 0))
		}
		e, err := Open(p.path(), Settings{MemoryBytes: 24 << 20})
		if err != nil {
			t.Fatal(err)
		}
		defer e.Close()
		out := play(e, int(frame)+seconds(0.1), events...)
		for at, sample := range out {
			if x := math.Abs(float64(sample)); !(x <= 1) || x > 0 && at/2 > int(frame)+seconds(0.08) {
				t.Fatalf("frame %d of %d: %v", at/2, frame, sample)
			}
		}
	})
}
