// Nudges, and beds in the places of others, as they are heard: by a tone for each cycle, against a map that was
// written so.

package engine

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

var firstZone = mapping.ZoneName{Rank: "first", Root: 69}

// nudge nudges the first zone.
func (p player) nudge(t *testing.T, to mapping.Nudge) {
	t.Helper()
	if err := p.Nudge(map[mapping.ZoneName]mapping.Nudge{firstZone: to}); err != nil {
		t.Fatal(err)
	}
}

// A zone that is nudged under a held key is so within a moment, without a click, and comes back as it was; the other
// zone stays as it is. The same again on notes that are let go, and on those struck afterwards.
func TestNudgesAreHeardUnderTheHands(t *testing.T) {
	p := fourTones(t)
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127)})}
	all := e.next(seconds(0.5))
	levels := func() []float64 {
		e.list = NewList(nil)
		out := e.next(seconds(1))
		all = append(all, out...)
		return toneLevels(leftOf(out, 0.4, 0.5), tones...)
	}
	was := levels()
	requireLevels := func(what string, wantDB ...float64) {
		t.Helper()
		for i, got := range levels() {
			want := was[i] + wantDB[i]
			if wantDB[i] < -100 && got > -110 || wantDB[i] >= -100 && math.Abs(got-want) > 0.01 {
				t.Errorf("%s: %.0f Hz at %.2f dBFS, want %+.2f dB of %.2f", what, tones[i], got, wantDB[i], was[i])
			}
		}
	}
	e.nudge(t, mapping.Nudge{LevelDB: -6})
	requireLevels("softer", -6, -6, 0, 0)
	e.nudge(t, mapping.Nudge{Silent: true})
	requireLevels("silent", -200, -200, 0, 0)
	e.nudge(t, mapping.Nudge{LevelDB: 3})
	requireLevels("louder", 3, 3, 0, 0)
	e.nudge(t, mapping.Nudge{})
	requireLevels("as it was", 0, 0, 0, 0)
	if _, second := largestSteps(all); second > 4*0.05*math.Pow(2*math.Pi*900/testRateHz, 2) {
		t.Errorf("it clicks: second difference %.5f", second)
	}
	if e.Map().Zones[0].LevelDB != 0 || len(e.playing) != 1 || e.Stats().Stolen != 0 {
		t.Errorf("level %v, %d maps sound", e.Map().Zones[0].LevelDB, len(e.playing))
	}
	e.nudge(t, mapping.Nudge{LevelDB: -6})
	e.list = NewList([]Event{NoteOn(e.frame+100, 0, 69, 127)})
	e.next(seconds(0.5))
	requireLevels("struck afterwards", -6, -6, 0, 0)
}

// A nudge in cents bends the note that sounds to that pitch, to the ratio 2^(c/1200) (MIDI Tuning Standard's unit),
// and a note that is struck afterwards has it from its beginning; the step is then the very one of a map that says so.
func TestNudgedTuning(t *testing.T) {
	p := sineProject(t, 0.2)
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127)})}
	out := e.next(seconds(0.4))
	for _, cents := range []float64{7, -38, 100, 0} {
		to := mapping.Nudge{Start: 0.1, TuneCents: cents}
		if err := e.Nudge(map[mapping.ZoneName]mapping.Nudge{{Rank: "only", Root: 69}: to}); err != nil {
			t.Fatal(err)
		}
		e.list = NewList(nil)
		part := e.next(seconds(1.2))
		out = append(out, part...)
		want := 440 * math.Exp2(cents/1200)
		requireNear(t, "Hz under the hand", testsound.ToneHz(leftOf(part, 0.4, 0.8), testRateHz, want), want, 0.005)
		got := e.parts[e.sounding[0].parts[0]].base
		if is := e.now.byKey[69][0].base; got-is+1 > 2 {
			t.Errorf("%v cents: step %d, expected %d within the rounding of each nudge", cents, got, is)
		}
	}
	out = out[2*seconds(0.1):] // past the note's own attack
	if _, second := largestSteps(out); second > 0.2*math.Pow(2*math.Pi*466.2/testRateHz, 2)*1.1 {
		t.Errorf("it clicks: second difference %.5f", second)
	}
}

// Where a start moves, a held note moves by as much of a turn, by a crossfade; the next one begins there. Two beds of
// different tones tell where it stands.
func TestNudgedStart(t *testing.T) {
	p := twoBeds(t, 0.2)
	p.Zones[0].Start = 0
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127)})}
	e.next(seconds(0.1))
	before := e.Stats()
	if err := e.Nudge(map[mapping.ZoneName]mapping.Nudge{{Rank: "only", Root: 69}: {Start: 0.5}}); err != nil {
		t.Fatal(err)
	}
	e.list = NewList(nil)
	out := e.next(seconds(0.7))
	requireNear(t, "Hz of the other bed", testsound.ToneHz(leftOf(out, 0.45, 0.2), testRateHz, 660), 660, 0.5)
	var s Snapshot
	e.Snapshot(&s)
	cycle := s.Cycles[0].CycleFrames
	off := (s.Cycles[0].AtFrame - (s.Frame + cycle/2)) % cycle
	if len(s.Cycles) != 1 || max(off, -off) > 1 {
		t.Errorf("%d cycles; the first stands %d frames off half a turn further on", len(s.Cycles), off)
	}
	if after := e.Stats(); after.Stolen != before.Stolen || len(e.playing) != 1 {
		t.Errorf("%d stolen, %d maps sound", after.Stolen, len(e.playing))
	}
	e.list = NewList([]Event{NoteOn(e.frame, 0, 69, 127)})
	e.next(2 * CellFrames)
	e.Snapshot(&s)
	if c := s.Cycles[len(s.Cycles)-1]; c.StartFrame != cycle/2 {
		t.Errorf("the next note begins at frame %d of %d", c.StartFrame, cycle)
	}
}

// What is tried on a map stays when it is loaded anew, and a nudge that cannot be changes nothing.
func TestNudgesStayWithTheMap(t *testing.T) {
	p := fourTones(t)
	e := player{p.open(Settings{}), NewList(nil)}
	e.nudge(t, mapping.Nudge{LevelDB: -6})
	p.HeadroomDB = 6
	p.save()
	if err := e.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	if m := e.Map(); m.Zones[0].LevelDB != -6 || m.HeadroomDB != 6 || e.Loaded().Zones[0].LevelDB != 0 {
		t.Errorf("level %v, headroom %v; loaded %v", m.Zones[0].LevelDB, m.HeadroomDB, e.Loaded().Zones[0].LevelDB)
	}
	if err := e.Nudge(map[mapping.ZoneName]mapping.Nudge{firstZone: {LevelDB: 99}}); err == nil {
		t.Error("99 dB were taken")
	}
	if got := e.Nudges()[firstZone].LevelDB; got != -6 {
		t.Errorf("nudged by %v dB", got)
	}
}

// A bed in the place of another is heard at the same place of the cycle, the rest as it was, and the own one comes
// back as if nothing had been.
func TestBedsInThePlaceOfOthers(t *testing.T) {
	p := fourTones(t)
	list := []Event{NoteOn(0, 0, 69, 127)}
	e := player{p.open(Settings{}), NewList(list)}
	plain := player{p.open(Settings{}), NewList(list)}
	e.next(seconds(0.3))
	plain.next(seconds(0.3))
	swap := func(beds map[string][]float32) {
		t.Helper()
		if err := instead(e.Engine, beds); err != nil {
			t.Fatal(err)
		}
	}
	swap(map[string][]float32{"a.wav": sineOf(testRateHz, 1200, 0, 0.05)})
	out, was := e.next(seconds(1)), plain.next(seconds(1))
	hz := append(slices.Clone(tones), 1200)
	got, before := toneLevels(leftOf(out, 0.5, 0.5), hz...), toneLevels(leftOf(was, 0.5, 0.5), hz...)
	if got[0] > -110 || math.Abs(got[4]-before[0]) > 0.01 || math.Abs(got[1]-before[1]) > 0.01 ||
		math.Abs(got[2]-before[2]) > 0.01 {
		t.Errorf("levels %.2f, before %.2f", got, before)
	}
	if !slices.Equal(e.Replaced(), []string{"a.wav"}) {
		t.Errorf("replaced %v", e.Replaced())
	}
	e.nudge(t, mapping.Nudge{LevelDB: -6}) // goes on under it
	e.next(seconds(0.5))
	plain.next(seconds(0.5))
	e.nudge(t, mapping.Nudge{})
	swap(nil)
	e.next(seconds(1))
	plain.next(seconds(1))
	out, was = e.next(seconds(0.5)), plain.next(seconds(0.5))
	worst := 0.0
	for i := range out {
		worst = max(worst, math.Abs(float64(out[i]-was[i])))
	}
	if worst > 2e-6 {
		t.Errorf("back again: %.2g off, expected rounding of 32-bit floats", worst)
	}
	if err := instead(e.Engine, map[string][]float32{"a.wav": make([]float32, 200)}); err == nil {
		t.Error("a bed of 100 frames was taken")
	}
}

// Whatever is nudged while keys go up and down at random, nothing is left behind: in the end all parts are free, one
// map is open, and nothing clicked on the way.
func TestNudgesLeaveNothingBehind(t *testing.T) {
	p := fourTones(t)
	e := player{p.open(Settings{}), NewList(nil)}
	random := rand.New(rand.NewPCG(15, 4))
	for range 300 {
		var events []Event
		for range random.IntN(3) {
			key := byte(60 + random.IntN(12))
			if random.IntN(2) == 0 {
				events = append(events, NoteOn(e.frame, 0, key, 90))
			} else {
				events = append(events, NoteOff(e.frame, 0, key))
			}
		}
		if random.IntN(2) == 0 {
			e.nudge(t, mapping.Nudge{Start: float64(random.IntN(4)) / 4, LevelDB: float64(random.IntN(12)) - 6,
				TuneCents: float64(random.IntN(40)) - 20, Silent: random.IntN(8) == 0})
		}
		e.list = NewList(events)
		e.next(CellFrames * (1 + random.IntN(60)))
	}
	var off []Event
	for key := range byte(128) {
		off = append(off, NoteOff(e.frame, 0, key))
	}
	e.list = NewList(off)
	e.next(seconds(1))
	if err := e.CloseRetired(); err != nil {
		t.Fatal(err)
	}
	if len(e.free) != len(e.parts) || len(e.idle) != len(e.notes) || len(e.playing) != 1 || len(e.opened) != 1 {
		t.Errorf("%d of %d parts came back, %d of %d notes; %d maps sound, %d are open", len(e.free), len(e.parts),
			len(e.idle), len(e.notes), len(e.playing), len(e.opened))
	}
}

// Following a nudge, the audio thread allocates nothing.
func TestNudgesAllocateNothing(t *testing.T) {
	p := fourTones(t)
	e := p.open(Settings{})
	list := NewList([]Event{NoteOn(0, 0, 69, 127), NoteOn(0, 0, 64, 127)})
	block := make([]float32, 2*CellFrames)
	e.Fill()
	e.Render(block, list)
	for _, to := range []mapping.Nudge{{LevelDB: -6, TuneCents: 10}, {Start: 0.5}} {
		if err := e.Nudge(map[mapping.ZoneName]mapping.Nudge{firstZone: to}); err != nil {
			t.Fatal(err)
		}
		if allocs := testing.AllocsPerRun(40, func() { e.Render(block, list) }); allocs != 0 {
			t.Errorf("%+v: %v allocations a cell", to, allocs)
		}
	}
}

func instead(e *Engine, beds map[string][]float32) error {
	all := map[string]stream.Bed{}
	for path, stereo := range beds {
		all[path] = stream.NewMemoryBed(path, stereo, testRateHz)
	}
	return e.Instead(all)
}
