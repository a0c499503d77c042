// Channels by themselves: registered parameters, MPE, pressure, channels that stand apart.

package engine

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// parameter sets a registered parameter of a channel.
func parameter(frame int64, channel, number, coarse, fine byte) []Event {
	return []Event{Control(frame, channel, 101, 0), Control(frame, channel, 100, number),
		Control(frame, channel, 6, coarse), Control(frame, channel, 38, fine)}
}

// configured makes the lower zone of MPE with so many members (RP-053: RPN 6 on channel 1).
func configured(members byte) []Event { return parameter(0, 0, 6, members, 0) }

// has says whether a pitch sounds.
func has(out []float32, atSec, pitch float64) bool {
	return cmplx.Abs(testsound.Partial(leftOf(out, atSec, 0.4), testRateHz, testsound.KeyHz(pitch), 0)) > toneLevel/2
}

// Each note of an MPE zone bends by its own channel's wheel, 48 semitones either way until parameter 0 says otherwise,
// and by its master's too; a note on the same key of another channel is another note.
func TestMembersBendByThemselves(t *testing.T) {
	p := sineProject(t, toneLevel)
	p.ReleaseSec = 0.02
	events := configured(15)
	events = append(events, NoteOn(0, 1, 60, 100), NoteOn(0, 2, 60, 100),
		Bend(0, 1, BendCentre+8192*7/48), Bend(0, 2, BendCentre-8192/48*3))
	at := int64(seconds(1))
	events = append(events, Bend(at, 0, 16383)) // the master's: 2 semitones, as the map has it
	at = int64(seconds(2))
	events = append(events, Bend(at, 0, BendCentre))
	events = append(events, parameter(at, 5, 0, 12, 0)...) // of any member, for all
	at = int64(seconds(3))
	events = append(events, NoteOff(at, 1, 60))
	out := play(p.open(Settings{}), seconds(4), events...)
	up, down := 60+float64(8192*7/48)/8192*48, 60-float64(8192/48*3)/8192*48
	for _, moment := range []struct {
		sec        float64
		sounds     []float64
		soundsNone []float64
	}{
		{0.3, []float64{up, down}, []float64{60}},
		{1.3, []float64{up + 2*8191.0/8192, down + 2*8191.0/8192}, []float64{up, down}},
		{2.3, []float64{60 + (up-60)/4, 60 + (down-60)/4}, []float64{up, down}},
		{3.3, []float64{60 + (down-60)/4}, []float64{60 + (up-60)/4}},
	} {
		for _, pitch := range moment.sounds {
			if !has(out, moment.sec, pitch) {
				t.Errorf("after %v s, pitch %.3f does not sound", moment.sec, pitch)
			}
		}
		for _, pitch := range moment.soundsNone {
			if has(out, moment.sec, pitch) {
				t.Errorf("after %v s, pitch %.3f sounds", moment.sec, pitch)
			}
		}
	}
}

// The tuning parameters: 1 by cents, 2 by semitones; parameter 0 sets the range of the wheel.
func TestTuningParameters(t *testing.T) {
	p := sineProject(t, toneLevel)
	p.ReleaseSec = 0.02
	events := []Event{NoteOn(0, 0, 60, 100)}
	events = append(events, parameter(int64(seconds(1)), 0, 1, 0x50, 0)...) // a quarter of a semitone up
	events = append(events, parameter(int64(seconds(2)), 0, 2, 64-5, 0)...)
	events = append(events, parameter(int64(seconds(3)), 0, 0, 7, 50)...)
	events = append(events, Bend(int64(seconds(3)), 0, 0))
	out := play(p.open(Settings{}), seconds(4), events...)
	for sec, pitch := range []float64{60, 60.25, 55.25, 55.25 - 7.5} {
		requireTone(t, fmt.Sprintf("after %d s", sec), out, float64(sec)+0.3, pitch)
	}
}

// Where pressure moves the dynamics, each note stands at its own place: by its key's pressure, by its channel's, from
// the controller's place on or alone.
func TestPressureMovesANotesOwnPlace(t *testing.T) {
	key := func(number, value byte) Event { return Event{Status: KindKeyPressure, Data1: number, Data2: value} }
	channel := func(of, value byte) Event { return Event{Status: KindChannelPressure | of, Data1: value} }
	for _, c := range []struct {
		by     mapping.MovedBy
		events []Event
		want   map[byte]float64 // by key, the place
	}{
		{mapping.MovedByController, []Event{Control(0, 0, 1, 127), key(64, 20)}, map[byte]float64{60: 1, 64: 1}},
		{mapping.MovedByPressure, []Event{Control(0, 0, 1, 127), key(64, 127)}, map[byte]float64{60: 0, 64: 1}},
		{mapping.MovedByPressure, []Event{channel(0, 127)}, map[byte]float64{60: 1, 64: 1}},
		{mapping.MovedByBoth, []Event{Control(0, 0, 1, 64), key(64, 127)}, map[byte]float64{60: 64.0 / 127, 64: 1}},
	} {
		p := newProject(t)
		p.zone("only", 69, 0.1, p.bed("soft.wav", sineOf(testRateHz, 440, 0, 0.05)),
			p.bed("loud.wav", sineOf(testRateHz, 440, 0, 0.4)))
		p.Dynamics.Initial, p.Dynamics.By, p.Dynamics.Law = 0, c.by, mapping.EqualGain
		out := play(p.open(Settings{}), seconds(1),
			append([]Event{NoteOn(0, 0, 60, 127), NoteOn(0, 0, 64, 127)}, c.events...)...)
		for pitch, place := range c.want {
			got := cmplx.Abs(testsound.Partial(leftOf(out, 0.4, 0.4), testRateHz, testsound.KeyHz(float64(pitch)), 0))
			want := 0.05*(1-place) + 0.4*place
			if math.Abs(20*math.Log10(got/want)) > 0.1 {
				t.Errorf("%q, %v: key %d has %.4f, want %.4f", c.by, c.events, pitch, got, want)
			}
		}
	}
}

// In an MPE zone the map's controller on a member's channel moves that note alone; on the master's, the others.
func TestMembersMoveTheirOwnDynamics(t *testing.T) {
	p := newProject(t)
	p.zone("only", 69, 0.1, p.bed("soft.wav", sineOf(testRateHz, 440, 0, 0.05)),
		p.bed("loud.wav", sineOf(testRateHz, 440, 0, 0.4)))
	p.Dynamics.Initial, p.Dynamics.Controller, p.Dynamics.Law = 0, 74, mapping.EqualGain
	events := append(configured(7), NoteOn(0, 1, 60, 127), NoteOn(0, 2, 64, 127), Control(0, 1, 74, 127),
		Control(0, 0, 74, 32))
	out := play(p.open(Settings{}), seconds(1), events...)
	for pitch, place := range map[float64]float64{60: 1, 64: 32.0 / 127} {
		got := cmplx.Abs(testsound.Partial(leftOf(out, 0.4, 0.4), testRateHz, testsound.KeyHz(pitch), 0))
		want := 0.05*(1-place) + 0.4*place
		if math.Abs(20*math.Log10(got/want)) > 0.1 {
			t.Errorf("pitch %v has %.4f, want %.4f", pitch, got, want)
		}
	}
}

// Channels that stand apart have keys, pedals and coarse tunings of their own: one map, in several transpositions.
func TestChannelsApart(t *testing.T) {
	p := sineProject(t, toneLevel)
	p.ReleaseSec = 0.02
	events := parameter(0, 1, 2, 64-12, 0)
	events = append(events, NoteOn(0, 0, 60, 100), NoteOn(0, 1, 60, 100), Control(0, 1, ControlHold, 127))
	at := int64(seconds(1))
	events = append(events, NoteOff(at, 0, 60), NoteOff(at, 1, 60))
	out := play(p.open(Settings{Apart: true}), seconds(2), events...)
	for _, moment := range []struct {
		sec   float64
		pitch float64
		want  bool
	}{{0.3, 60, true}, {0.3, 48, true}, {1.3, 60, false}, {1.3, 48, true}} {
		if has(out, moment.sec, moment.pitch) != moment.want {
			t.Errorf("after %v s, pitch %v sounds: %v", moment.sec, moment.pitch, !moment.want)
		}
	}
	out = play(p.open(Settings{}), seconds(2), events...)
	if has(out, 0.3, 60) || !has(out, 0.3, 48) || !has(out, 1.3, 48) {
		t.Error("channels that are heard as one have two notes on a key")
	}
}

// Zones take members from each other and give them back (RP-053): 15 lower, then 7 upper leave 7 lower.
func TestZonesShareTheChannels(t *testing.T) {
	e := sineProject(t, toneLevel).open(Settings{})
	members := func() (lower, upper int) { return e.zones.lower, e.zones.upper }
	send := func(events []Event) {
		for _, event := range events {
			e.apply(event)
		}
	}
	send(configured(15))
	if lower, upper := members(); lower != 15 || upper != 0 || !e.channels[15].member || e.channels[0].member {
		t.Errorf("%d lower, %d upper members", lower, upper)
	}
	send(parameter(0, 15, 6, 7, 0))
	if lower, upper := members(); lower != 7 || upper != 7 || e.channels[15].member {
		t.Errorf("%d lower, %d upper members", lower, upper)
	}
	send(configured(3))
	send(parameter(0, 15, 6, 7, 0))
	if lower, upper := members(); lower != 3 || upper != 7 || !e.channels[8].member || e.channels[7].member ||
		e.channels[15].member {
		t.Errorf("%d lower, %d upper members", lower, upper)
	}
	send(configured(0))
	if lower, upper := members(); lower != 0 || upper != 7 || e.channels[1].member {
		t.Errorf("%d lower, %d upper members", lower, upper)
	}
}
