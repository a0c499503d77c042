// The bank in another's hands: the JDK's synthesizer, a general-purpose reader of Downloadable Sounds, plays it as the
// player plays the map.

//go:build linux && cgo

package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// allPartials of a key sound at most: both ranks and both layers of a tone project.
var allPartials = []float64{1, 2, 3, 4}

// Every zone sounds at both its ends, in tune within 0.1 cent (ISO 16:1975), left and right, in all programs those
// layers and no others that the program is named for.
func TestBankInTune(t *testing.T) {
	t.Parallel()
	project := toneProject(t, 48, 71, 3, nil)
	m, err := mapping.Load(filepath.Join(project, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	var keys []int
	for _, zone := range m.Zones {
		keys = append(keys, zone.Low, zone.High)
	}
	const eachSec, heldSec = 1.2, 1.0
	// no vibrato from either
	events := append(prepare(0, 64), engine.Event{Status: engine.KindChannelPressure, Data1: 127})
	for i, key := range keys {
		at := int64(seconds(eachSec * float64(i)))
		events = append(events, engine.NoteOn(at, 0, byte(key), 100),
			engine.NoteOff(at+int64(seconds(heldSec)), 0, byte(key)))
	}
	told, sounds := playBoth(t, project, events)
	checkRegions(t, told, m)
	heard := readRecording(t, sounds[0].bank)
	worst := 0.0
	for i, key := range keys {
		from := seconds(eachSec*float64(i) + 0.1)
		for side, x := range heard.channels {
			for _, part := range allPartials {
				want := part * testsound.KeyHz(key)
				off := testsound.Cents(testsound.ToneHz(x[from:from+seconds(heldSec-0.15)], testRateHz, want), want)
				worst = max(worst, math.Abs(off))
				if !(math.Abs(off) <= 0.1) {
					t.Errorf("key %d, partial %v, side %d: %.4f cents off", key, part, side, off)
				}
			}
		}
	}
	t.Logf("worst pitch: %.4f cents", worst)
}

// checkRegions holds what the JDK read against the map: four programs, and in the first, for each key of a zone, its
// layers and sides, one region with its root and loop.
func checkRegions(t *testing.T, told string, m *mapping.Map) {
	t.Helper()
	if programs := strings.Count(told, "\nprogram\t"); programs != 4 {
		t.Errorf("%d programs, want 4:\n%s", programs, told)
	}
	_, first, _ := strings.Cut(told, "\nprogram\t0\t")
	first, _, _ = strings.Cut(first, "\nprogram\t")
	loop := seconds(2*3 - 2*0.25) // two beds of 3 s, joined twice by 0.25 s
	for _, zone := range m.Zones {
		for key := zone.Low; key <= zone.High; key++ {
			for channel := range 2 {
				want := fmt.Sprintf("\t1\t127\t%d\t64\t%d\t%d", zone.Root, loop, channel+1)
				if got := regionsOn(first, key, want); got != len(m.Layers) {
					t.Errorf("key %d: %d regions of %q, want one a layer:\n%s", key, got, want, first)
				}
			}
		}
	}
}

// regionsOn counts the regions of a program that hold a key and otherwise read as rest.
func regionsOn(program string, key int, rest string) (count int) {
	for line := range strings.Lines(program) {
		var low, high int
		if _, err := fmt.Sscanf(line, "region\t%d\t%d\t", &low, &high); err != nil || key < low || key > high {
			continue
		}
		if strings.HasPrefix(line, fmt.Sprintf("region\t%d\t%d%s", low, high, rest)) {
			count++
		}
	}
	return count
}

// A map with another tuning: each key of the bank has the pitch that the map gives it, as the JDK plays it and as the
// player does, within 0.1 cent.
func TestBankHasTheTuning(t *testing.T) {
	t.Parallel()
	tuning := mapping.DefaultTuning()
	tuning.ReferenceHz = 415
	for note := 1; note <= 17; note++ {
		tuning.ScaleCents = append(tuning.ScaleCents, float64(note)*1200/17)
	}
	tuning.ZonesBy = mapping.ZonesByPitch
	project := toneProject(t, 48, 71, 3, func(m *mapping.Map) { m.Tuning = &tuning })
	keys := []int{52, 57, 60, 65, 71}
	const eachSec, heldSec = 0.8, 0.7
	events := prepare(2, 0)
	for i, key := range keys {
		at := int64(seconds(eachSec * float64(i)))
		events = append(events, engine.NoteOn(at, 0, byte(key), 100),
			engine.NoteOff(at+int64(seconds(heldSec)), 0, byte(key)))
	}
	_, sounds := playBoth(t, project, events)
	for i, key := range keys {
		for _, recording := range []string{sounds[0].bank, sounds[0].player} {
			x := readRecording(t, recording).channels[0][seconds(eachSec*float64(i)+0.1):][:seconds(0.55)]
			for _, partial := range []float64{1, 2} {
				want := testsound.KeyHz(tuning.Pitch(key)) * partial
				if off := testsound.Cents(testsound.ToneHz(x, testRateHz, want), want); !(math.Abs(off) <= 0.1) {
					t.Errorf("%s: key %d, partial %v is %.3f cents off", filepath.Base(recording), key, partial, off)
				}
			}
		}
	}
}

// Across a seam of each rank and between them, the player plays every rank as loud as the map says, within 0.05 dB,
// and so does the JDK on the bank, but for what it is softer in all, 0.3 dB.
func TestBankFadesAtSeams(t *testing.T) {
	t.Parallel()
	project := toneProject(t, 48, 71, 3, nil)
	m, err := mapping.Load(filepath.Join(project, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	keys := []int{54, 55, 57, 60, 61, 65}
	const eachSec, heldSec = 0.8, 0.7
	events := prepare(2, 0) // the soft layer: rank C sounds partial 1 of a key, rank F# partial 2
	for i, key := range keys {
		at := int64(seconds(eachSec * float64(i)))
		events = append(events, engine.NoteOn(at, 0, byte(key), 100),
			engine.NoteOff(at+int64(seconds(heldSec)), 0, byte(key)))
	}
	_, sounds := playBoth(t, project, events)
	bank, player := readRecording(t, sounds[0].bank), readRecording(t, sounds[0].player)
	for i, key := range keys {
		from := seconds(eachSec*float64(i) + 0.1)
		for _, zone := range m.ZonesAt(key) {
			z := &m.Zones[zone]
			hz := testsound.KeyHz(key) * partialOf(z.Root, "soft")
			want := testsound.AmplitudeDB(toneLevel*m.ZoneGain(z, key)) - m.HeadroomDB
			for side := range 2 {
				onBank := levelDB(bank.channels[side][from:from+seconds(0.55)], hz)
				played := levelDB(player.channels[side][from:from+seconds(0.55)], hz)
				const softer = 0.27 // dB
				if math.Abs(onBank+softer-want) > 0.05 || math.Abs(played-want) > 0.05 {
					t.Errorf("key %d, rank %s: %.2f dBFS on the bank and %.2f by the player, want %.2f", key, z.Rank,
						onBank, played, want)
				}
			}
		}
	}
}

// The levels of the four partials of a held key, by bank and by player, at dynamics 0, 64 and 127, and of the
// programs that have one layer each or choose it by velocity: soft alone, both, loud alone, within 1 dB of the map's
// law, which the player follows; what is silent there is 40 dB down.
func TestBankDynamics(t *testing.T) {
	t.Parallel()
	for _, law := range []mapping.Law{mapping.EqualPower, mapping.EqualGain} {
		project := toneProject(t, 54, 60, 3, func(m *mapping.Map) { m.Dynamics.Law = law })
		cases := []struct {
			program, dynamics, velocity byte
			asDynamics                  byte // at which the player sounds alike
		}{
			{0, 0, 100, 0}, {0, 64, 100, 64}, {0, 127, 100, 127}, {0, 127, 20, 127},
			{1, 64, 63, 0}, {1, 0, 64, 127}, {2, 127, 100, 0}, {3, 0, 100, 127},
		}
		const eachSec = 2.0
		var onBank, onPlayer []engine.Event
		for i, c := range cases {
			at := int64(seconds(eachSec * float64(i)))
			note := []engine.Event{engine.NoteOn(at+int64(seconds(0.3)), 0, 57, c.velocity),
				engine.NoteOff(at+int64(seconds(1.5)), 0, 57)}
			onBank = append(append(onBank, later(at, prepare(c.program, c.dynamics))...), note...)
			onPlayer = append(append(onPlayer, later(at, prepare(c.program, c.asDynamics))...), note...)
		}
		_, sounds := playBoth(t, project, onBank, onPlayer)
		bank, player := readRecording(t, sounds[0].bank), readRecording(t, sounds[1].player)
		worst := 0.0
		for i, c := range cases {
			from, to := seconds(eachSec*float64(i)+0.5), seconds(eachSec*float64(i)+1.4)
			for side := range 2 {
				for _, part := range allPartials {
					hz := part * testsound.KeyHz(57)
					got, want := levelDB(bank.channels[side][from:to], hz), levelDB(player.channels[side][from:to], hz)
					silent := testsound.AmplitudeDB(toneLevel) - 12 - 40
					if want >= silent {
						worst = max(worst, math.Abs(got-want))
					}
					switch {
					case want < silent && got > silent:
						t.Errorf("%s, case %+v, partial %v: %.1f dBFS, want silence", law, c, part, got)
					case want >= silent && !(math.Abs(got-want) <= 1):
						t.Errorf("%s, case %+v, partial %v: %.2f dBFS, the player %.2f", law, c, part, got, want)
					}
				}
			}
		}
		t.Logf("%s: at most %.2f dB off", law, worst)
	}
}

// The way that keeps to the standard: a layer on each of two channels, faded by controller 11 with the values that
// HOWTO.txt gives, sounds as the player at that place of its dynamics, within 1 dB.
func TestBankFadesByExpression(t *testing.T) {
	t.Parallel()
	project := toneProject(t, 54, 60, 3, nil)
	note := []engine.Event{engine.NoteOn(int64(seconds(0.3)), 0, 57, 100), engine.NoteOff(int64(seconds(1.5)), 0, 57)}
	var onBank []engine.Event
	for channel, expression := range []byte{122, 79} { // at 32
		onBank = append(onBank, engine.Event{Status: engine.KindProgram | byte(channel), Data1: 2 + byte(channel)},
			engine.Control(0, byte(channel), 7, 127), engine.Control(0, byte(channel), 11, expression))
	}
	for _, event := range note {
		for channel := range byte(2) {
			event.Status = event.Kind() | channel
			onBank = append(onBank, event)
		}
	}
	_, sounds := playBoth(t, project, onBank, append(prepare(0, 32), note...))
	bank, player := readRecording(t, sounds[0].bank), readRecording(t, sounds[1].player)
	for side := range 2 {
		for _, part := range allPartials {
			hz, from, to := part*testsound.KeyHz(57), seconds(0.5), seconds(1.4)
			got, want := levelDB(bank.channels[side][from:to], hz), levelDB(player.channels[side][from:to], hz)
			if !(math.Abs(got-want) <= 1) {
				t.Errorf("partial %v: %.2f dBFS, the player %.2f", part, got, want)
			}
		}
	}
}

// Controller 11 sets the level to 40 log10(v/127) dB within 0.1 dB (DLS 2.2; General MIDI 2), and a note that was let
// go falls by 60 dB in the map's release time within 1 dB.
func TestBankVolumeAndRelease(t *testing.T) {
	t.Parallel()
	const releaseSec = 2.0
	project := toneProject(t, 54, 60, 3, func(m *mapping.Map) { m.ReleaseSec = releaseSec })
	values := []byte{127, 100, 80, 64, 40, 20}
	events := append(prepare(2, 0), engine.NoteOn(0, 0, 57, 100))
	for i, v := range values {
		events = append(events, engine.Control(int64(seconds(float64(i))), 0, 11, v))
	}
	end := float64(len(values))
	events = append(events, engine.Control(int64(seconds(end)), 0, 11, 127),
		engine.NoteOff(int64(seconds(end+1)), 0, 57), engine.Control(int64(seconds(end+2.5)), 0, 11, 127))
	_, sounds := playBoth(t, project, events)
	left := readRecording(t, sounds[0].bank).channels[0]
	hz := testsound.KeyHz(57)
	at := func(fromSec, forSec float64) float64 {
		return levelDB(left[seconds(fromSec):seconds(fromSec+forSec)], hz)
	}
	full, worst := at(0.2, 0.7), 0.0
	for i, v := range values {
		got, want := at(float64(i)+0.2, 0.7)-full, 40*math.Log10(float64(v)/127)
		worst = max(worst, math.Abs(got-want))
		if !(math.Abs(got-want) <= 0.1) {
			t.Errorf("controller 11 at %d: %.3f dB, want %.3f", v, got, want)
		}
	}
	t.Logf("controller 11: at most %.3f dB off", worst)
	early, late := at(end+1.2, 0.1), at(end+2.2, 0.1)
	if fall, want := early-late, 60/releaseSec; !(math.Abs(fall-want) <= 1) {
		t.Errorf("a second of release falls by %.2f dB, want %.0f", fall, want)
	}
}

// A minute of a held chord of woven takes, over many turns of its cycles, by each rank alone: as loud as the player's
// within 0.5 LU (ITU-R BS.1770-5), and in every third of an octave within 1 dB where there is more than the bank's 16
// bits can hold.
func TestBankHoldsAChordAsThePlayerDoes(t *testing.T) {
	t.Parallel()
	project, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	const heldSec = 60
	events := prepare(0, 64)
	for _, key := range []byte{50, 57, 62, 69} {
		events = append(events, engine.NoteOn(0, 0, key, 100))
	}
	for _, key := range []byte{50, 57, 62, 69} {
		events = append(events, engine.NoteOff(int64(seconds(heldSec)), 0, key))
	}
	for _, rank := range []string{"C", "F#"} {
		t.Run(rank, func(t *testing.T) { compareHeld(t, withRank(t, project, rank), events, heldSec) })
	}
}

// withRank copies a project and leaves one rank of its map, by equal power: where two ranks hold the same take at the
// same pitch, what becomes of the sum depends on its phase, and so on hundredths of a cent.
func withRank(t *testing.T, project, rank string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(project)); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, mapping.FileName)
	m, err := mapping.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	m.Zones = slices.DeleteFunc(m.Zones, func(z mapping.Zone) bool { return z.Rank != rank })
	// between layers a bank can follow it: see TestFadeFollowsTheLaw
	m.Dynamics.Law, m.Dynamics.RangeLU = mapping.EqualPower, 0
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	return dir
}

// compareHeld holds what the bank makes of events against the player.
func compareHeld(t *testing.T, project string, events []engine.Event, heldSec float64) {
	t.Helper()
	_, sounds := playBoth(t, project, events)
	bank, player := readRecording(t, sounds[0].bank), readRecording(t, sounds[0].player)
	if off := lufs(bank, heldSec) - lufs(player, heldSec); !(math.Abs(off) <= 0.5) {
		t.Errorf("the bank is %+.2f LU from the player", off)
	} else {
		t.Logf("loudness: %+.2f LU", off)
	}
	const floorDBFS = -84 // the noise of eight zones and layers on two sides, each −93 dBFS in all bands together
	got, want := thirdOctaves(bank, heldSec), thirdOctaves(player, heldSec)
	worst, compared := 0.0, 0
	for i := range want {
		if want[i] < floorDBFS+10 {
			continue
		}
		compared++
		off := got[i] - want[i]
		if math.Abs(off) > math.Abs(worst) {
			worst = off
		}
		if !(math.Abs(off) <= 1) {
			t.Errorf("third of an octave around %.0f Hz: %.2f dBFS, the player %.2f", thirdHz(i), got[i], want[i])
		}
	}
	t.Logf("%d bands compared, worst %+.2f dB", compared, worst)
	if compared < 15 {
		t.Errorf("only %d bands have a sound to compare", compared)
	}
}
