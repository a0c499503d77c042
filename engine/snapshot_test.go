// The picture of what sounds is what was played, whole, and costs the audio thread next to nothing.

package engine

import (
	"math"
	"math/big"
	"runtime"
	"testing"

	"lapstrake/mapping"
)

// twoLayerProject has two zones on every key, each of two layers.
func twoLayerProject(t testing.TB) *project {
	p := layered(t, noiseOf(seconds(1), 1, 0.5), noiseOf(seconds(1), 2, 0.5))
	p.Zones[0].Low, p.Zones[0].High = 30, 93
	second := p.Zones[0]
	second.Rank, second.Root, second.Start = "second", second.Root-7, 0.5
	p.Zones = append(p.Zones, second)
	p.Dynamics.Initial, p.HeadroomDB, p.VelocityAmount, p.AttackSec, p.ReleaseSec = 80, 6, 1, 0.01, 0.5
	return p
}

// A cycle stands where rational arithmetic has it: the frames rendered since the note began times the step, counted
// on from the start.
func TestSnapshotShowsWhatWasPlayed(t *testing.T) {
	p := twoLayerProject(t)
	e := p.open(Settings{})
	const key, channel, velocity, beganFrame = 62, 3, 90, 1234
	play(e, 100_000-e.LatencyFrames(), NoteOn(beganFrame, channel, key, velocity))
	var s Snapshot
	e.Snapshot(&s)
	if s.Frame < 100_000 || s.Frame >= 100_000+CellFrames || len(s.Cycles) != 4 {
		t.Fatalf("frame %d with %d cycles, want about 100000 and 4", s.Frame, len(s.Cycles))
	}
	if want := ([2]uint64{1 << key, 0}); s.Held() != want {
		t.Errorf("held %#x, want %#x", s.Held(), want)
	}
	m := e.Map()
	gains := make([]float64, len(m.Layers))
	m.LayerGains(dynamicsValue(m.Dynamics.Initial, 0), gains)
	for i, c := range s.Cycles {
		if c.Key != key || c.Channel != channel || c.BeganFrame != beganFrame || c.MapNumber != 0 ||
			c.State != NoteDown {
			t.Errorf("cycle %d: %+v", i, c)
		}
		if c.Zone != i/2 || c.Layer != i%2 {
			t.Errorf("cycle %d is of zone %d, layer %d", i, c.Zone, c.Layer)
		}
		zone := &m.Zones[c.Zone]
		cycle := e.Cycles().Cycle(c.Zone, c.Layer)
		if c.CycleFrames != cycle.Frames || c.StartFrame != cycle.StartFrame(m.Start(zone, key, 0)) {
			t.Errorf("cycle %d: %d frames from %d on", i, c.CycleFrames, c.StartFrame)
		}
		// played = (frame − began)·2^(shift/12), within the 2⁻³³ a frame to which the step is rounded.
		played := float64(c.PlayedFrames) + float64(c.Fraction)/mapping.OneFrame
		want := float64(s.Frame-beganFrame) * math.Exp2(float64(key-zone.Root)/12)
		if math.Abs(played-want) > 1e-4 {
			t.Errorf("cycle %d has played %.6f frames, want %.6f", i, played, want)
		}
		requireExact(t, s.Frame, &c)
		if at, want := c.AtFrame, int64(math.Mod(float64(c.StartFrame)+want, float64(c.CycleFrames))); at != want {
			t.Errorf("cycle %d stands at frame %d, want %d", i, at, want)
		}
		wantGain := math.Pow(10, -6.0/20) * math.Pow(float64(velocity)/127, 2) * gains[c.Layer]
		if c.Level != 1 || math.Abs(float64(c.Gain)-wantGain) > 1e-6 {
			t.Errorf("cycle %d: level %v, gain %v, want 1 and %v", i, c.Level, c.Gain, wantGain)
		}
	}
}

// requireExact wants the position to be the step times the frames, to the last bit.
func requireExact(t testing.TB, frame int64, c *SoundingCycle) {
	t.Helper()
	played := new(big.Int).Lsh(big.NewInt(c.PlayedFrames), 32)
	played.Add(played, big.NewInt(int64(c.Fraction)))
	want := new(big.Int).Mul(new(big.Int).SetUint64(c.Step), big.NewInt(frame-c.BeganFrame))
	if played.Cmp(want) != 0 {
		t.Errorf("key %d has played %v/2³² frames at frame %d, want %v/2³²", c.Key, played, frame, want)
	}
}

// What keeps a note sounding changes with keys and pedals; an ended note is not shown.
func TestSnapshotTellsWhatKeepsANote(t *testing.T) {
	p := twoLayerProject(t)
	e := p.open(Settings{})
	list, block := NewList(nil), make([]float32, 2*512)
	var s Snapshot
	for _, step := range []struct {
		event  Event
		blocks int
		want   NoteState
		cycles int
	}{
		{NoteOn(0, 0, 60, 100), 1, NoteDown, 4},
		{Control(0, 0, ControlHold, 127), 1, NoteDown, 4},
		{NoteOff(0, 0, 60), 1, NotePedal, 4},
		{Control(0, 0, ControlHold, 0), 1, NoteReleased, 4},
		{NoteOn(0, 0, 64, 100), 1, NoteDown, 8},
		{Control(0, 0, ControlSostenuto, 127), 1, NoteDown, 8},
		{NoteOff(0, 0, 64), 1, NotePedal, 8},
		{Control(0, 0, ControlSoundOff, 0), 0, NoteFading, 8},
		{Control(0, 0, ControlSoundOff, 0), 2, 0, 0},
	} {
		list.events = []Event{step.event}
		e.Fill()
		if step.blocks == 0 { // the fade lasts 5 ms: look in its midst
			e.Render(block[:2*CellFrames], list)
		}
		for range step.blocks {
			e.Render(block, list)
		}
		e.Snapshot(&s)
		if len(s.Cycles) != step.cycles {
			t.Fatalf("after % x: %d cycles, want %d", step.event, len(s.Cycles), step.cycles)
		}
		if n := len(s.Cycles); n > 0 && s.Cycles[n-1].State != step.want {
			t.Errorf("after %v: state %d, want %d", step.event, s.Cycles[n-1].State, step.want)
		}
	}
}

// A map that is loaded anew has another number, and a note keeps the one that it began on.
func TestSnapshotTellsMapsApart(t *testing.T) {
	p := twoLayerProject(t)
	e := p.open(Settings{})
	play(e, 2048, NoteOn(0, 0, 60, 100))
	if err := e.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	play(e, 2048, NoteOn(0, 0, 62, 100))
	var s Snapshot
	e.Snapshot(&s)
	for _, c := range s.Cycles {
		if want := (c.Key - 60) / 2; c.MapNumber != want {
			t.Errorf("key %d is of map %d, want %d", c.Key, c.MapNumber, want)
		}
	}
	if len(s.Cycles) != 8 {
		t.Errorf("%d cycles, want 8", len(s.Cycles))
	}
}

// While notes come and go, every picture that another goroutine sees is of one moment: each cycle stands exactly
// where its step and the picture's frame say.
func TestSnapshotsAreWhole(t *testing.T) {
	p := twoLayerProject(t)
	p.Polyphony = 64
	e := p.open(Settings{})
	done, most := make(chan struct{}), make(chan int)
	for range 2 {
		go func() {
			var s Snapshot
			seen, last := 0, int64(0)
			for {
				select {
				case <-done:
					most <- seen
					return
				default:
				}
				e.Snapshot(&s)
				if s.Frame < last {
					t.Errorf("frame %d after frame %d", s.Frame, last)
				}
				last, seen = s.Frame, max(seen, len(s.Cycles))
				for i := range s.Cycles {
					requireExact(t, s.Frame, &s.Cycles[i])
				}
				runtime.Gosched()
			}
		}()
	}
	var events []Event
	for i := range int64(100) {
		key := byte(40 + 7*i%24)
		events = append(events, NoteOn(i*301, 0, key, 100), NoteOff(i*301+150, 0, key))
	}
	play(e, 100*301, events...)
	close(done)
	if seen := max(<-most, <-most); seen < 8 {
		t.Errorf("at most %d cycles were seen, want chords", seen)
	}
}

func TestSnapshotAllocatesNothing(t *testing.T) {
	p := twoLayerProject(t)
	e := p.open(Settings{})
	list, block := NewList([]Event{NoteOn(0, 0, 60, 100)}), make([]float32, 2*512)
	var s Snapshot
	e.Render(block, list)
	e.Snapshot(&s)
	if n := testing.AllocsPerRun(100, func() {
		e.Render(block, list)
		e.Snapshot(&s)
	}); n != 0 || len(s.Cycles) != 4 {
		t.Errorf("%v allocations with %d cycles, want none with 4", n, len(s.Cycles))
	}
}

// BenchmarkSnapshot measures what pictures of 256 cycles take of the audio thread's time: rendering a cell of the
// grid, its picture included, the picture alone, and a reader's copy.
func BenchmarkSnapshot(b *testing.B) {
	p := twoLayerProject(b)
	p.Polyphony = 256
	e := p.open(Settings{MemoryBytes: 96 << 20})
	var chord []Event
	for key := range byte(64) {
		chord = append(chord, NoteOn(0, 0, 30+key, 100))
	}
	list, block := NewList(chord), make([]float32, 2*512)
	e.Render(block, list)
	if count := e.Stats().Voices; count != 256 {
		b.Fatalf("%d cycles sound, want 256", count)
	}
	b.Run("render", func(b *testing.B) {
		for b.Loop() {
			e.Fill()
			e.Render(block[:2*CellFrames], list)
		}
	})
	b.Run("picture", func(b *testing.B) {
		for b.Loop() {
			e.publishSnapshot()
		}
	})
	b.Run("copy", func(b *testing.B) {
		var s Snapshot
		for b.Loop() {
			e.Snapshot(&s)
		}
	})
}
