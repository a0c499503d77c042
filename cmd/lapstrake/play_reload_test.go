// The map is changed while notes sound.

//go:build linux && cgo

package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// New notes are played from the new map, sounding ones go on without a click; a map that is wrong changes nothing, and
// the line at fault is named.
func TestPlayFollowsItsMap(t *testing.T) { measured(t, testPlayFollowsItsMap) }

func testPlayFollowsItsMap(t *attempt) {
	var m *mapping.Map
	project := toneProject(t, 48, 84, 3, func(made *mapping.Map) { m = made })
	s, keys := startJACK(t, longPeriodFrames), newKeyboard(t)
	player := s.play(project, "--midi-raw", keys.pipe.Name())
	recorder := s.record(9, outputs...)
	recorder.holds(3) // from here on the output is at its level
	keys.send(presses(0, 100, 60)...)
	recorder.holds(4)

	for i := range m.Zones { // with every root an octave up, each key sounds an octave down
		m.Zones[i].Root += 12
	}
	saveMap(t, m, project, nil)
	said := player.says(noticeReloaded, 0)
	keys.send(presses(0, 100, 76)...)

	line := spoil(t, filepath.Join(project, mapping.FileName))
	player.says(fmt.Sprintf(`map\.toml:%d: overlap_sec: -1: expected 0 to`, line), said)
	keys.send(presses(0, 100, 79)...)
	heard := recorder.finished()
	if report := player.interrupt(); report.Reloads != 1 {
		t.Errorf("%d reloads reported, want 1", report.Reloads)
	}
	for c, x := range heard.channels {
		if cut := clicks(x, highestToneHz, clickLevel); len(cut) > s.late() {
			t.Errorf("channel %d: clicks at frames %v; a client was late %d times", c, cut, s.late())
		}
		end := x[len(x)-seconds(1):]
		// to 5 cents: in a join, from one phase to another, a tone wavers
		for _, key := range []int{60, 76 - 12, 79 - 12} {
			if off := testsound.Cents(testsound.ToneHz(end, testRateHz, testsound.KeyHz(key)),
				testsound.KeyHz(key)); levelDB(end, testsound.KeyHz(key)) < -50 || math.Abs(off) > 5 {
				t.Errorf("channel %d: at the end, the tone of key %d has %.0f dBFS and is %.3f cents off", c, key,
					levelDB(end, testsound.KeyHz(key)), off)
			}
		}
	}
}

// spoil puts a negative overlap into a map and returns the line where it stands.
func spoil(t *attempt, path string) int {
	t.Helper()
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before, after, found := bytes.Cut(good, []byte("overlap_sec = 0.25"))
	if !found {
		t.Fatalf("%s: no overlap of 0.25 s in it", path)
	}
	if err := os.WriteFile(path, slices.Concat(before, []byte("overlap_sec = -1.0"), after), 0o666); err != nil {
		t.Fatal(err)
	}
	return 1 + bytes.Count(before, []byte("\n"))
}
