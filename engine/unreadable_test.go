// A bed that cannot be read while it is played.

package engine

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
)

// A bed is cut short under a sounding note: the note fades without a click and is silent where the bed is, the bed is
// named once, and each failure is counted.
func TestBedCutShortWhileItSounds(t *testing.T) {
	const level = 0.3
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 69, 0, p.bed("sine.wav", sineOf(seconds(3), 440, 0, level)))
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127)})}
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
		t.Errorf("told again of %v; %d errors and %d late reads counted, expected several and none", again, stats.ReadErrors, stats.Misses)
	}
}
