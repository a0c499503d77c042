// Reload: another map while notes sound.

package engine

import (
	"math"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
)

// player renders as play does, but piece by piece.
type player struct {
	*Engine
	list *List
}

func (p player) next(frames int) []float32 {
	out := make([]float32, 2*frames)
	for at := 0; at < len(out); at += 2 * CellFrames {
		p.Fill()
		p.Render(out[at:min(at+2*CellFrames, len(out))], p.list)
	}
	return out
}

// A note that sounds goes on, bit for bit, as if nothing had been reloaded; the next one is on the new map.
func TestReloadKeepsSoundingNotes(t *testing.T) {
	p := sineProject(t, 0.2)
	p.bed("octave.wav", sineOf(testRateHz, 880, 0, 0.2))
	first, second := NoteOn(0, 0, 69, 127), NoteOn(int64(seconds(1)), 0, 76, 127)
	off := NoteOff(int64(seconds(1.5)), 0, 69)

	undisturbed := player{p.open(Settings{}), NewList([]Event{first})}
	want := undisturbed.next(seconds(0.9))

	reloaded := player{p.open(Settings{}), NewList([]Event{first, second, off})}
	got := reloaded.next(seconds(0.4))
	p.Zones[0].Beds["one"] = []string{"octave.wav", "octave.wav"}
	p.save()
	if err := reloaded.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	got = append(got, reloaded.next(seconds(0.5))...)
	if !slices.Equal(got, want) {
		t.Error("the sounding note changed when another map was loaded")
	}
	got = append(got, reloaded.next(seconds(2))...)
	requireNear(t, "Hz of the new note, on a bed an octave higher",
		testsound.ToneHz(leftOf(got, 2, 0.8), testRateHz, 2*testsound.KeyHz(76)), 2*testsound.KeyHz(76), 0.01)
	if _, second := largestSteps(got); second > 0.03 {
		t.Errorf("the sound jumps: second difference %.3f", second)
	}
}

// Beds are closed once the last note on them has ended, and not before.
func TestReloadClosesWhatNoLongerSounds(t *testing.T) {
	p := sineProject(t, 0.2)
	list := NewList([]Event{NoteOn(0, 0, 69, 127), NoteOff(int64(seconds(0.3)), 0, 69)})
	e := player{p.open(Settings{}), list}
	e.next(seconds(0.2))
	for range 3 * keptInstruments { // more often than instruments are kept: those not taken yet are replaced
		if err := e.Reload(p.path()); err != nil {
			t.Fatal(err)
		}
	}
	e.next(CellFrames)
	if err := e.CloseRetired(); err != nil {
		t.Fatal(err)
	}
	if len(e.opened) != 3 {
		t.Errorf("%d instruments are open while one note sounds on the first; expected it, the last and the one "+
			"before", len(e.opened))
	}
	e.next(seconds(1))
	if err := e.CloseRetired(); err != nil {
		t.Fatal(err)
	}
	if len(e.opened) != 2 {
		t.Errorf("%d instruments are open after the last note; expected the last and the one before", len(e.opened))
	}
}

// With a note on each of them, instruments beyond what may sound at once wait their turn.
func TestReloadUnderManyHeldNotes(t *testing.T) {
	p := sineProject(t, 0.02)
	var events []Event
	for i := range 2 * keptInstruments {
		events = append(events, NoteOn(int64(seconds(0.1*float64(i))), 0, byte(50+i), 100))
	}
	e := player{p.open(Settings{}), NewList(append(events, Control(int64(seconds(2)), 0, 123, 0)))}
	for range 2 * keptInstruments {
		if err := e.Reload(p.path()); err != nil {
			t.Fatal(err)
		}
		e.next(seconds(0.1))
	}
	if len(e.playing) > keptInstruments {
		t.Errorf("%d instruments sound, expected at most %d", len(e.playing), keptInstruments)
	}
	e.next(seconds(2))
	if err := e.CloseRetired(); err != nil {
		t.Fatal(err)
	}
	if got := e.Stats(); got.Voices != 0 || len(e.opened) != 2 {
		t.Errorf("%d voices and %d instruments are left; expected 0 and 2", got.Voices, len(e.opened))
	}
}

// A map that is not right changes nothing and says why.
func TestReloadRefuses(t *testing.T) {
	p := sineProject(t, 0.2)
	e := player{p.open(Settings{}), NewList(nil)}
	before := e.Map()
	refused := func(what, part string) {
		t.Helper()
		if err := e.Reload(p.path()); err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("%s: found %v, expected an error with %q", what, err, part)
		}
		if e.Map() != before {
			t.Errorf("%s: the map changed", what)
		}
		e.next(CellFrames)
	}
	p.Polyphony = 64
	p.save()
	refused("more polyphony", "start the player anew")
	p.Polyphony = 32
	p.Zones[0].Beds["one"] = []string{"missing.wav", "missing.wav"}
	p.save()
	refused("a missing bed", "missing.wav")
	if err := os.WriteFile(p.path(), []byte("version = 1\nlayers = ["), 0o666); err != nil {
		t.Fatal(err)
	}
	refused("half a file", "map.toml:2:10")
}

// Controllers keep their places: what the new map assigns to one that was moved before takes its value at once.
func TestReloadKeepsControllers(t *testing.T) {
	p := layered(t, sineOf(seconds(1), 440, 0, 0.1), sineOf(seconds(1), 880, 0, 0.1))
	list := NewList([]Event{Control(0, 0, 2, 127), Control(0, 0, 7, 64), NoteOn(int64(seconds(0.5)), 0, 69, 127)})
	e := player{p.open(Settings{}), list}
	e.next(seconds(0.2))
	p.Dynamics.Controller = 2
	p.save()
	if err := e.Reload(p.path()); err != nil {
		t.Fatal(err)
	}
	out := append(make([]float32, 2*seconds(0.2)), e.next(seconds(1.3))...)
	left := leftOf(out, 1, 0.4)
	requireNear(t, "Hz on the loud layer", testsound.ToneHz(left, testRateHz, 880), 880, 0.01)
	requireNear(t, "level at volume 64, dB", 20*math.Log10(testsound.RMS(left)*math.Sqrt2/0.1),
		40*math.Log10(64.0/127), 0.05)
}

// Reloading while the player plays and workers read is free of races.
func TestReloadWhilePlaying(t *testing.T) {
	p := busyProject(t)
	e := p.open(Settings{})
	e.Start(2)
	done := make(chan error)
	go func() {
		for range 10 {
			if err := e.Reload(p.path()); err != nil {
				done <- err
				return
			}
			for e.next.Load() != nil { // until it is taken up
				runtime.Gosched()
			}
		}
		done <- nil
	}()
	frame := int64(0)
	block := make([]float32, 2*CellFrames)
	for running := true; running; {
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			running = false
		default:
		}
		e.Render(block, NewList([]Event{NoteOn(frame, 0, byte(50+frame/CellFrames%40), 100)}))
		frame += CellFrames
	}
}

// Taking over a map allocates nothing on the audio thread.
func TestReloadAllocatesNothing(t *testing.T) {
	p := busyProject(t)
	e := p.open(Settings{})
	block := make([]float32, 2*CellFrames)
	next, err := openInstrument(p.path(), 0, e.settings, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer next.cycles.Close()
	quiet := NewList(nil)
	if n := testing.AllocsPerRun(4, func() {
		e.next.Store(next)
		e.Render(block, quiet)
	}); n != 0 {
		t.Errorf("taking over a map allocates %v times", n)
	}
}
