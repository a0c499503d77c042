// A bed that cannot be read while it is played.

package engine

import (
	"math"
	"math/cmplx"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lapstrake/mapping/testsound"
)

// fromDisk leaves too little memory to hold a bed of 15 s.
var fromDisk = Settings{MemoryBytes: 10 << 20}

// A bed is cut short under a sounding note: the note fades without a click and is silent where the bed is, the bed is
// named once, and each failure is counted.
func TestBedCutShortWhileItSounds(t *testing.T) {
	const level = 0.3
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 69, 0, p.bed("sine.wav", sineOf(seconds(15), 440, 0, level)))
	e := player{p.open(fromDisk), NewList([]Event{NoteOn(0, 0, 69, 127)})}
	out := e.next(seconds(0.5))
	if err := os.Truncate(filepath.Join(p.dir, "sine.wav"), 44+8*int64(seconds(1))); err != nil {
		t.Fatal(err)
	}
	out = append(out, e.next(seconds(4))...)

	most := level * (2*math.Pi*440/testRateHz + 1.01/(mostFadeCells*CellFrames))
	if first, _ := largestSteps(out); first > most {
		t.Errorf("a step of %.4f between two samples, expected at most %.4f: it is cut", first, most)
	}
	if rms := testsound.RMS(leftOf(out, 1.5, 1)); rms > 0 {
		t.Errorf("behind the end of the bed the level is %.4f, expected silence", rms)
	}
	told := e.TakeReadErrors()
	if len(told) != 1 || !strings.Contains(told[0].Error(), "sine.wav") {
		t.Errorf("told of %v, expected one error that names the bed", told)
	}
	if again, stats := e.TakeReadErrors(), e.Stats(); len(again) != 0 || stats.ReadErrors < 2 || stats.Misses != 0 {
		t.Errorf("told again of %v; %d errors and %d late reads counted, expected several and none", again,
			stats.ReadErrors, stats.Misses)
	}
}

// A bed that is written over in place under a sounding note: nothing of the new sound follows the old one's beginning,
// and the bed counts as changed until the map is loaded anew. The same by renaming: the note goes on as it was.
func TestBedWrittenOverWhileItSounds(t *testing.T) {
	const level = 0.3
	for _, inPlace := range []bool{true, false} {
		p := newProject(t)
		p.Layers = []string{"one"}
		p.zone("only", 69, 0, p.bed("sine.wav", sineOf(seconds(15), 440, 0, level)))
		p.bed("other.wav", sineOf(seconds(15), 660, 0, level))
		e := player{p.open(fromDisk), NewList([]Event{NoteOn(0, 0, 69, 127), NoteOff(int64(seconds(4.2)), 0, 69),
			NoteOn(int64(seconds(5)), 0, 69, 127)})}
		out := e.next(seconds(0.5))
		if changed := e.ChangedBeds(p.path()); len(changed) != 0 {
			t.Errorf("%q changed, expected none", changed)
		}
		bed, other := filepath.Join(p.dir, "sine.wav"), filepath.Join(p.dir, "other.wav")
		if inPlace {
			data, err := os.ReadFile(other)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(bed, data, 0o666); err != nil {
				t.Fatal(err)
			}
			later := time.Now().Add(time.Second) // whatever a tick of the file system is
			if err := os.Chtimes(bed, later, later); err != nil {
				t.Fatal(err)
			}
		} else if err := os.Rename(other, bed); err != nil {
			t.Fatal(err)
		}
		out = append(out, e.next(seconds(3.5))...)
		if changed := e.ChangedBeds(p.path()); len(changed) != 1 || changed[0] != "sine.wav" {
			t.Errorf("%q changed, expected sine.wav", changed)
		}
		if err := e.Reload(p.path()); err != nil {
			t.Fatal(err)
		}
		out = append(out, e.next(seconds(2.5))...)
		if changed := e.ChangedBeds(p.path()); len(changed) != 0 {
			t.Errorf("%q changed after a reload, expected none", changed)
		}
		if got := cmplx.Abs(testsound.Partial(leftOf(out, 0, 4.9), testRateHz, 660, 0)); got > level/1000 {
			t.Errorf("in place %v: the new sound is in the old note at %.4f", inPlace, got)
		}
		if kept := testsound.RMS(leftOf(out, 3, 1)) > level/2; kept == inPlace {
			t.Errorf("in place %v: the note sounds on: %v", inPlace, kept)
		}
		requireNear(t, "Hz of the next note", testsound.ToneHz(leftOf(out, 5.2, 0.8), testRateHz, 660), 660, 0.01)
		most := level * (2*math.Pi*660/testRateHz + 1.01/(mostFadeCells*CellFrames))
		if first, _ := largestSteps(out); first > most {
			t.Errorf("in place %v: a step of %.4f between two samples, expected at most %.4f", inPlace, first, most)
		}
	}
}

// With memory enough for all beds they are in it: what happens to the disk is not heard.
func TestBedsThatFitAreInMemory(t *testing.T) {
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 69, 0, p.bed("sine.wav", sineOf(seconds(15), 440, 0, 0.3)))
	press := []Event{NoteOn(0, 0, 69, 127)}
	want := player{p.open(fromDisk), NewList(press)}.next(seconds(3))
	e := player{p.open(Settings{MemoryBytes: 32 << 20}), NewList(press)}
	if err := os.Truncate(filepath.Join(p.dir, "sine.wav"), 100); err != nil {
		t.Fatal(err)
	}
	if got := e.next(seconds(3)); !slices.Equal(got, want) || e.Stats().ReadErrors > 0 {
		t.Errorf("a bed in memory sounds otherwise than from the disk; %d read errors", e.Stats().ReadErrors)
	}
	if changed := e.ChangedBeds(p.path()); len(changed) != 1 {
		t.Errorf("%q changed, expected the bed", changed)
	}
}
