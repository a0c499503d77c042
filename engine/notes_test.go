// Notes begin and end without clicks, obey keys and pedals, never stick, and make room for each other.

package engine

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"

	"pgregory.net/rapid"
)

// A low sine starts anywhere in its period and stops anywhere: its second difference stays within twice that of the
// sine itself, which a click would exceed a hundredfold.
func TestNotesBeginAndEndWithoutClicks(t *testing.T) {
	const hz, level = 100, 0.5
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 69, 0, p.bed("sine.wav", sineOf(seconds(1), hz, 0, level)))
	p.AttackSec, p.ReleaseSec = 0.05, 1
	own := level * math.Pow(2*math.Pi*hz/testRateHz, 2)
	for eighth := range 8 {
		p.Zones[0].Start = (0.1 + float64(eighth)/8/hz) / 1.8
		out := play(p.open(Settings{}), seconds(1.5), NoteOn(17, 0, 69, 100), NoteOff(int64(20011+60*eighth), 0, 69))
		if _, second := largestSteps(out); second > 2*own {
			t.Errorf("start %d/8 of a period: second difference %.2g, that of the sine is %.2g", eighth, second, own)
		}
	}
}

// A released note falls by 60 dB in the map's release time, along a straight line in decibels, also out of its attack.
func TestReleaseFallsSixtyDecibels(t *testing.T) {
	for _, releaseSec := range []float64{0.2, 1} {
		p := sineProject(t, 0.5)
		p.ReleaseSec = releaseSec
		out := play(p.open(Settings{}), seconds(0.5+1.2*releaseSec), NoteOn(0, 0, 69, 100),
			NoteOff(int64(seconds(0.3)), 0, 69))
		level := func(sec float64) float64 {
			return 20 * math.Log10(testsound.RMS(leftOf(out, sec-1.0/88, 1.0/44))) // ten periods
		}
		for _, part := range []float64{0.25, 0.5, 0.75} {
			requireNear(t, fmt.Sprintf("fall in %v of %v s, dB", part, releaseSec),
				level(0.3+releaseSec*(part+0.2))-level(0.3+releaseSec*0.2), -60*part, 0.5*part)
		}
		requireNear(t, "level when the time is over, dB", level(0.3+releaseSec)-level(0.15), -60, 0.5)
	}
}

const toneLevel = 0.1

// sounding tells which of keys sound at a time of a render of sineProject.
func sounding(out []float32, atSec float64, keys ...byte) map[byte]bool {
	found := map[byte]bool{}
	for _, key := range keys {
		if cmplx.Abs(testsound.Partial(leftOf(out, atSec, 0.1), testRateHz, testsound.KeyHz(float64(key)),
			0)) > toneLevel/2 {
			found[key] = true
		}
	}
	return found
}

func TestPedals(t *testing.T) {
	on, off := func(key byte) Event { return NoteOn(0, 0, key, 100) },
		func(key byte) Event { return NoteOff(0, 0, key) }
	pedal := func(number, value byte) Event { return Control(0, 0, number, value) }
	const hold, sostenuto = 64, 66
	for _, test := range []struct {
		name   string
		events []Event // 0.01 s apart
		want   []byte
	}{
		{"key", []Event{on(60)}, []byte{60}},
		{"key up", []Event{on(60), off(60)}, nil},
		{"velocity 0", []Event{on(60), NoteOn(0, 0, 60, 0)}, nil},
		{"hold", []Event{pedal(hold, 127), on(60), off(60)}, []byte{60}},
		{"hold at 63 is up", []Event{pedal(hold, 63), on(60), off(60)}, nil},
		{"hold at 64 is down", []Event{pedal(hold, 64), on(60), off(60)}, []byte{60}},
		{"hold after the key", []Event{on(60), pedal(hold, 127), off(60)}, []byte{60}},
		{"hold let go", []Event{pedal(hold, 127), on(60), off(60), on(67), pedal(hold, 0)}, []byte{67}},
		{"sostenuto keeps what was down", []Event{on(60), pedal(sostenuto, 127), on(67), off(60), off(67)},
			[]byte{60}},
		{"sostenuto sent twice", []Event{on(60), pedal(sostenuto, 127), on(67), pedal(sostenuto, 127), off(60),
			off(67)}, []byte{60}},
		{"sostenuto let go", []Event{on(60), on(67), pedal(sostenuto, 127), off(60), pedal(sostenuto, 0)}, []byte{67}},
		{"sostenuto inside hold", []Event{on(60), pedal(sostenuto, 127), off(60), on(67), pedal(hold, 127), off(67),
			pedal(hold, 0)}, []byte{60}},
		{"hold inside sostenuto", []Event{on(60), pedal(sostenuto, 127), pedal(hold, 127), off(60),
			pedal(sostenuto, 0)}, []byte{60}},
		{"sostenuto does not take what hold keeps",
			[]Event{pedal(hold, 127), on(60), off(60), pedal(sostenuto, 127), pedal(hold, 0)}, nil},
		{"both let go", []Event{on(60), pedal(sostenuto, 127), pedal(hold, 127), off(60), pedal(hold, 0),
			pedal(sostenuto, 0)}, nil},
		{"all sound off under hold", []Event{pedal(hold, 127), on(60), on(67), off(67), pedal(120, 0)}, nil},
		{"all notes off", []Event{on(60), on(67), pedal(123, 0)}, nil},
		{"all notes off under hold", []Event{pedal(hold, 127), on(60), pedal(123, 0)}, []byte{60}},
		{"then hold let go", []Event{pedal(hold, 127), on(60), pedal(123, 0), pedal(hold, 0)}, nil},
		{"reset lets the pedals go", []Event{on(60), pedal(sostenuto, 127), pedal(hold, 127), off(60), on(67),
			pedal(121, 0)}, []byte{67}},
		{"a key again and again", []Event{on(60), on(60), on(60), off(60)}, nil},
		{"a key again under hold", []Event{pedal(hold, 127), on(60), off(60), on(60)}, []byte{60}},
		{"a key again under hold, let go", []Event{pedal(hold, 127), on(60), off(60), on(60), off(60), pedal(hold, 0)},
			nil},
		{"a key again under sostenuto", []Event{on(60), pedal(sostenuto, 127), on(60), off(60)}, []byte{60}},
		{"then sostenuto let go", []Event{on(60), pedal(sostenuto, 127), on(60), off(60), pedal(sostenuto, 0)}, nil},
		{"a key that was never down", []Event{on(60), off(67)}, []byte{60}},
		{"a key without a zone", []Event{on(60), on(0)}, []byte{60}},
	} {
		t.Run(test.name, func(t *testing.T) {
			for i := range test.events {
				test.events[i].Frame = int64(seconds(0.02 * float64(i)))
			}
			e := sineProject(t, toneLevel).open(Settings{MemoryBytes: 12 << 20})
			out := play(e, seconds(0.5), test.events...)
			got := sounding(out, 0.35, 60, 67)
			if len(got) != len(test.want) || len(test.want) > 0 && !got[test.want[0]] {
				t.Errorf("%v sound, expected %v", got, test.want)
			}
			if voices := e.Stats().Voices; voices != len(test.want) {
				t.Errorf("%d voices, expected %d", voices, len(test.want))
			}
		})
	}
}

// A key without a zone is told of and is not held; what does sound is not told of.
func TestKeysWithoutAZoneAreTold(t *testing.T) {
	e := sineProject(t, toneLevel).open(Settings{MemoryBytes: 12 << 20})
	play(e, 1000, NoteOn(0, 0, 60, 100), NoteOn(10, 0, 3, 100), NoteOn(20, 0, 127, 100), NoteOn(30, 0, 3, 100))
	var picture Snapshot
	e.Snapshot(&picture)
	if got, want := picture.Held(), [2]uint64{1 << 60, 0}; got != want {
		t.Errorf("held %x, expected key 60 alone", got)
	}
	if got, want := e.TakeSilentKeys(), [2]uint64{1 << 3, 1 << 63}; got != want {
		t.Errorf("told of %x, expected keys 3 and 127", got)
	}
	if got := e.TakeSilentKeys(); got != [2]uint64{} {
		t.Errorf("told of %x again", got)
	}
}

// After any flood of events, lifting all keys and pedals ends all sound; at no time do more voices sound than the map
// allows, but for those that fade within 5 ms.
func TestNoNoteSticks(t *testing.T) {
	p := busyProject(t)
	e := p.open(Settings{})
	reserve := len(e.parts) - p.Polyphony
	rapid.Check(t, func(r *rapid.T) {
		const frames = 6000
		from := e.Stats().Frame
		at := func(events []Event) []Event {
			for i := range events {
				events[i].Frame += from
			}
			return events
		}
		flood := NewList(at(drawEvents(r, frames)))
		block := make([]float32, 2*64)
		render := func(events Events, frames int) {
			for range frames / 64 {
				e.Fill()
				e.Render(block, events)
				kept := 0
				for _, n := range e.sounding {
					if !n.envelope.Fading() {
						kept += len(n.parts)
					}
				}
				if kept > p.Polyphony || e.Stats().Voices > p.Polyphony+reserve {
					r.Fatalf("%d voices and %d fading ones, the map allows %d", kept,
						e.Stats().Voices-kept, p.Polyphony)
				}
			}
		}
		render(flood, frames+64)
		from = e.Stats().Frame
		var up []Event
		for key := range byte(128) {
			up = append(up, NoteOff(0, 0, key))
		}
		up = append(up, Control(0, 0, 64, 0), Control(0, 0, 66, 0))
		render(NewList(at(up)), seconds(2*p.ReleaseSec)+128)
		if voices := e.Stats().Voices; voices != 0 {
			r.Fatalf("%d voices sound with all keys and pedals up", voices)
		}
		if len(e.free) != len(e.parts) || len(e.idle) != len(e.notes) {
			r.Fatalf("%d of %d parts and %d of %d notes came back", len(e.free), len(e.parts),
				len(e.idle), len(e.notes))
		}
	})
}

// The quietest released note gives way first, then the note held longest; a stolen note fades without a jump.
func TestStealing(t *testing.T) {
	p := sineProject(t, toneLevel)
	p.Polyphony, p.ReleaseSec = 4, 20
	at := func(sec float64) int64 { return int64(seconds(sec)) }
	e := p.open(Settings{})
	out := play(e, seconds(1.3),
		NoteOn(0, 0, 50, 100), NoteOn(100, 0, 55, 100), NoteOn(200, 0, 60, 100), NoteOn(300, 0, 65, 100),
		NoteOff(at(0.1), 0, 60), NoteOff(at(0.2), 0, 55), // 60 is the quieter by now
		NoteOn(at(0.3), 0, 70, 100), NoteOn(at(0.6), 0, 72, 100), NoteOn(at(0.9), 0, 74, 100))
	keys := []byte{50, 55, 60, 65, 70, 72, 74}
	for _, test := range []struct {
		atSec float64
		want  []byte
	}{
		{0.2, []byte{50, 55, 60, 65}}, {0.4, []byte{50, 55, 65, 70}}, {0.7, []byte{50, 65, 70, 72}},
		{1.0, []byte{65, 70, 72, 74}},
	} {
		want := map[byte]bool{}
		for _, key := range test.want {
			want[key] = true
		}
		if got := sounding(out, test.atSec, keys...); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("at %v s %v sound, expected %v", test.atSec, got, want)
		}
	}
	if stats := e.Stats(); stats.Stolen != 3 || stats.Refused != 0 || stats.Voices != 4 {
		t.Errorf("%+v, expected 3 stolen, none refused, 4 voices", stats)
	}
	// Each sine moves by at most its slope, a fade or attack by at most π/2 of its level over its length.
	most := 0.0
	for _, key := range keys {
		most += toneLevel * 2 * math.Pi * testsound.KeyHz(float64(key)) / testRateHz
	}
	most += 2 * toneLevel * math.Pi / 2 / 240
	if first, _ := largestSteps(out); first > most {
		t.Errorf("a step of %.4f between two samples, expected at most %.4f", first, most)
	}
}

// A held key is the last to give way: before it go notes that only a pedal holds, the oldest first, and of a chord the
// quietest. What was stolen is not held any more, and every one is counted.
func TestStealingSparesHeldKeys(t *testing.T) {
	const hold, sostenuto = 64, 66
	p := sineProject(t, toneLevel)
	p.Polyphony = 4
	at := func(sec float64) int64 { return int64(seconds(sec)) }
	for _, test := range []struct {
		name   string
		events []Event
		want   []byte // held after the last
	}{
		{"pedal before keys", []Event{NoteOn(0, 0, 50, 100), Control(0, 0, hold, 127), NoteOn(at(0.1), 0, 55, 100),
			NoteOff(at(0.15), 0, 55), NoteOn(at(0.2), 0, 60, 100), NoteOff(at(0.25), 0, 60),
			NoteOn(at(0.3), 0, 65, 100), NoteOn(at(0.4), 0, 70, 100)}, []byte{50, 60, 65, 70}},
		{"sostenuto before keys", []Event{NoteOn(0, 0, 50, 100), NoteOn(at(0.1), 0, 55, 100),
			Control(at(0.12), 0, sostenuto, 127), NoteOff(at(0.15), 0, 55), NoteOn(at(0.2), 0, 60, 100),
			NoteOn(at(0.3), 0, 65, 100), NoteOn(at(0.4), 0, 70, 100)}, []byte{50, 60, 65, 70}},
		{"the quietest of the oldest chord", []Event{NoteOn(0, 0, 50, 100), NoteOn(at(0.01), 0, 55, 60),
			NoteOn(at(0.02), 0, 60, 80), NoteOn(at(0.2), 0, 65, 20), NoteOn(at(0.4), 0, 70, 100)},
			[]byte{50, 60, 65, 70}},
		{"the oldest key", []Event{NoteOn(0, 0, 50, 100), NoteOn(at(0.1), 0, 55, 60), NoteOn(at(0.2), 0, 60, 100),
			NoteOn(at(0.3), 0, 65, 20), NoteOn(at(0.4), 0, 70, 100)}, []byte{55, 60, 65, 70}},
	} {
		p.VelocityAmount = 1
		e := p.open(Settings{MemoryBytes: 12 << 20})
		play(e, seconds(0.5), test.events...)
		var picture Snapshot
		e.Snapshot(&picture)
		var want [2]uint64
		for _, key := range test.want {
			want[key/64] |= 1 << (key % 64)
		}
		if got := picture.Held(); got != want {
			t.Errorf("%s: the keys %x are held, expected %x (%v)", test.name, got, want, test.want)
		}
		if stolen := e.Stats().Stolen; stolen != 1 {
			t.Errorf("%s: %d notes stolen, expected 1", test.name, stolen)
		}
	}
}

// A stolen note fades along a half cosine of 5 ms, which a constant bed shows bare.
func TestStolenNotesFade(t *testing.T) {
	p := newProject(t)
	p.Layers, p.Polyphony, p.AttackSec = []string{"one"}, 1, 0.02
	p.zone("only", 60, 0, p.bed("flat.wav", stereoOf(seconds(0.5),
		func(int) (left, right float64) { return 0.5, 0.5 })))
	out := play(p.open(Settings{}), seconds(0.2), NoteOn(0, 0, 60, 100), NoteOn(4801, 0, 62, 100))
	if first, _ := largestSteps(out); first > 0.5*math.Pi/2/240 {
		t.Errorf("a step of %.5f between two samples, expected at most %.5f", first, 0.5*math.Pi/2/240)
	}
	if low := out[2*(4801+200)]; low > 0.2 {
		t.Errorf("200 frames after it was stolen the note stands at %.3f of 0.5", low)
	}
}

// More notes in one instant than the fading reserve can carry are refused and counted; those that sound are left
// alone.
func TestRefusedNotesLeaveTheOthersAlone(t *testing.T) {
	p := sineProject(t, toneLevel)
	p.Polyphony = 4
	e := p.open(Settings{})
	var flood []Event
	for i := range 60 {
		flood = append(flood, NoteOn(0, 0, byte(45+i%37), 100))
	}
	play(e, 2048, flood...)
	stats := e.Stats()
	if stats.Refused != 60-4-32 || stats.Voices != 4 {
		t.Errorf("%d notes refused and %d voices, expected 24 and the map's 4", stats.Refused, stats.Voices)
	}
}

// A map whose polyphony cannot carry one key could only be silent or break its promise.
func TestPolyphonyBelowOneKeyIsAnError(t *testing.T) {
	p := busyProject(t)
	p.Polyphony = 3
	if err := p.Save(p.path()); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(p.path(), Settings{}); err == nil || !strings.Contains(err.Error(), "polyphony 3") {
		t.Errorf("error %v, expected one that names the polyphony", err)
	}
}
