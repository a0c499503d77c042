// A performance goes on from a kept moment as if it had never been broken off.

package engine

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping"
)

// kept is a moment as it comes back from a file.
func kept(t rapid.TB, e *Engine) *Moment {
	t.Helper()
	var m, again Moment
	e.Moment(&m)
	text, err := json.Marshal(&m)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &again); err != nil {
		t.Fatal(err)
	}
	return &again
}

// Whatever was played before, the samples after the moment are the same ones, bit for bit where the ceiling does not
// act.
func TestMomentGoesOn(t *testing.T) {
	const before, frames = MomentFrames + 1000, MomentFrames + 40000
	p := busyProject(t)
	p.HeadroomDB, p.ReleaseSec, p.AttackSec = 40, 2, 0.3
	p.Dynamics.By = mapping.MovedByBoth
	p.Stagger = mapping.Stagger{By: mapping.ByPress, Starts: []float64{0, 0.3, 0.55}}
	p.save()
	open := func(r *rapid.T) *Engine {
		e, err := Open(p.path(), Settings{MemoryBytes: 8 << 20})
		if err != nil {
			r.Fatal(err)
		}
		r.Cleanup(func() { e.Close() })
		return e
	}
	rapid.Check(t, func(r *rapid.T) {
		events := append(drawEvents(r, frames), drawExpression(r, frames)...)
		slices.SortStableFunc(events, func(a, b Event) int { return int(a.Frame - b.Frame) })
		whole, again := open(r), open(r)
		whole.SetSilent(FacetRank, 1, rapid.Bool().Draw(r, "rank silent"))
		list := NewList(events)
		want := cells(whole, before, list)
		moment := kept(r, whole)
		want = append(want, cells(whole, frames, list)...)
		if err := again.Begin(moment); err != nil {
			r.Fatal(err)
		}
		got := cells(again, frames, NewList(after(events, moment.Frame)))
		latency := whole.LatencyFrames() // the ceiling was empty
		for i, x := range want[2*(int(moment.Frame)+latency):] {
			if got[i+2*latency] != x {
				r.Fatalf("%d notes at frame %d: %d frames later %v, in one go %v", len(moment.Notes),
					moment.Frame, i/2, got[i], x)
			}
		}
	})
}

// cells renders up to a frame, cell by cell.
func cells(e *Engine, frame int64, list *List) (out []float32) {
	for e.Stats().Frame < frame || e.Stats().Frame == 0 {
		block := make([]float32, 2*CellFrames)
		e.Fill()
		e.Render(block, list)
		out = append(out, block...)
	}
	return out
}

// drawExpression draws what channels say by themselves: zones of MPE, parameters, bends, pressure, tunings.
func drawExpression(t *rapid.T, frames int) (events []Event) {
	for range rapid.IntRange(0, 25).Draw(t, "expressions") {
		frame, of := rapid.Int64Range(0, int64(frames)-1).Draw(t, "frame"),
			byte(rapid.IntRange(0, 4).Draw(t, "channel"))
		key, value := byte(rapid.IntRange(48, 72).Draw(t, "key")), byte(rapid.IntRange(0, 127).Draw(t, "value"))
		switch rapid.IntRange(0, 7).Draw(t, "expression") {
		case 0:
			events = append(events, parameter(frame, 0, 6, of, 0)...)
		case 1:
			events = append(events, parameter(frame, of, byte(rapid.IntRange(0, 2).Draw(t, "parameter")),
				60+value%9, 0)...)
		case 2:
			events = append(events, Bend(frame, of, int(value)<<7))
		case 3:
			events = append(events, Event{Frame: frame, Status: KindChannelPressure | of, Data1: value})
		case 4:
			events = append(events, Event{Frame: frame, Status: KindKeyPressure | of, Data1: key, Data2: value})
		case 5:
			pitch := uint32(key)<<14 + uint32(value)<<6 | TuneSounding*uint32(value&1)
			events = append(events, Event{Frame: frame, Status: KindTuneKey, Data1: key, Fine: pitch})
		case 6:
			events = append(events, Event{Frame: frame, Status: KindTuneOctave, Data1: key % 12,
				Fine: uint32(value)<<7 | 0xFFFF<<14 | TuneSounding})
		case 7:
			events = append(events, NoteOn(frame, of, key, value))
		}
	}
	return events
}

// after are the events from a frame on.
func after(events []Event, frame int64) []Event {
	return slices.DeleteFunc(slices.Clone(events), func(e Event) bool { return e.Frame < frame })
}

// Where the ceiling acts, its gain has found its way within SettleSec, to −100 dB of what sounds.
func TestMomentGoesOnUnderTheCeiling(t *testing.T) {
	p := busyProject(t)
	events := []Event{NoteOn(0, 0, 60, 127), NoteOn(100, 0, 64, 127), NoteOn(30000, 0, 66, 127), NoteOff(33000, 0, 66)}
	frames := MomentFrames + seconds(SettleSec+0.4)
	whole, again := p.open(Settings{}), p.open(Settings{})
	want := play(whole, MomentFrames, events...)
	moment := kept(t, whole)
	rest := NewList(after(events, whole.Stats().Frame))
	for len(want) < 2*frames {
		block := make([]float32, 2*CellFrames)
		whole.Fill()
		whole.Render(block, rest)
		want = append(want, block...)
	}
	if whole.Stats().MostReductionDB < 3 {
		t.Fatalf("the ceiling takes %v dB off, which is too tame", whole.Stats().MostReductionDB)
	}
	if err := again.Begin(moment); err != nil {
		t.Fatal(err)
	}
	got := play(again, frames-MomentFrames, after(events, MomentFrames)...)
	var off, power float64
	for i := 2 * seconds(SettleSec); i < len(got) && 2*MomentFrames+i < len(want); i++ {
		x := float64(want[2*MomentFrames+i])
		off, power = off+(float64(got[i])-x)*(float64(got[i])-x), power+x*x
	}
	if db := 10 * math.Log10(off/power); power == 0 || db > -100 {
		t.Errorf("differs by %.1f dB of the sound, expected −100 at most", db)
	}
}

// What cannot be is refused with its place, and never leads out of what there is.
func TestBrokenMoments(t *testing.T) {
	p := busyProject(t)
	whole := p.open(Settings{})
	play(whole, MomentFrames, NoteOn(0, 0, 60, 127), NoteOn(100, 0, 64, 127))
	for name, damage := range map[string]func(*Moment){
		"off the grid":        func(m *Moment) { m.Frame++ },
		"before the start":    func(m *Moment) { m.Frame = -64 },
		"no key":              func(m *Moment) { m.Notes[0].Key = 128 },
		"a speed beyond all":  func(m *Moment) { m.Parts[0].Base = 1 << 60 },
		"too many members":    func(m *Moment) { m.Members = [2]int{9, 9} },
		"no parameter":        func(m *Moment) { m.Channels[3].Parameter = 1 << 14 },
		"no tuning program":   func(m *Moment) { m.Retuned.Program = 128 },
		"no tuned key":        func(m *Moment) { m.Retuned.Keys = []TunedKey{{0, 128, 60}} },
		"no pitch class":      func(m *Moment) { m.Retuned.Octave = map[int]float32{12: 0} },
		"no gain":             func(m *Moment) { m.Notes[0].Gain = -1 },
		"too many parts":      func(m *Moment) { m.Notes[1].Parts++ },
		"fewer than none":     func(m *Moment) { m.Notes[0].Parts = -1 },
		"no such zone":        func(m *Moment) { m.Parts[0].Zone = 2 },
		"no such layer":       func(m *Moment) { m.Parts[0].Layer = -1 },
		"outside the cycle":   func(m *Moment) { m.Parts[0].StartFrame = m.Parts[0].CycleFrames },
		"a cycle of nothing":  func(m *Moment) { m.Parts[0].CycleFrames = 0 },
		"played backwards":    func(m *Moment) { m.Parts[0].PlayedFrames = -1 },
		"no flow":             func(m *Moment) { m.Parts[0].Flow = float32(math.NaN()) },
		"too loud":            func(m *Moment) { m.Notes[0].Envelope.Level = 1.5 },
		"no stage":            func(m *Moment) { m.Notes[0].Envelope.Stage = 5 },
		"no controller value": func(m *Moment) { m.Controls.Values[3] = 128 },
		"no bend":             func(m *Moment) { m.Controls.Bend = 1 << 14 },
		"no dynamics":         func(m *Moment) { m.Controls.Dynamics.Value = 2 },
	} {
		m := kept(t, whole)
		damage(m)
		if err := p.open(Settings{}).Begin(m); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}
