// A chord that nobody strikes: Enter does, and a changed map is heard under it.

//go:build linux && cgo

package main

import (
	"io"
	"math"
	"path/filepath"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// A chord from --chord sounds from a changed map soon after it was saved, without a click; Enter strikes it again,
// which is part of the performance.
func TestPlayFollowsItsMapUnderAChord(t *testing.T) {
	env := withoutJACK(t)
	typed, tty := openPair(t)
	var m *mapping.Map
	project := toneProject(t, 48, 84, 3, func(made *mapping.Map) { m = made })
	out := filepath.Join(t.TempDir(), "chord.wav")
	player := launchOn(t, env, tty, "lapstrake", "play", project, "--json", "--chord", "60", "--record", out)
	player.says(`playing on no device`, 0)
	player.recordsOn(out, 0)
	for i := range m.Zones { // with every root an octave up, each key sounds an octave down
		m.Zones[i].Root += 12
	}
	saveMap(t, m, project, nil)
	player.says(noticeReloaded+", .*; held notes move on to it", 0)
	player.recordsOn(out, 1)
	if _, err := io.WriteString(typed, "\r"); err != nil {
		t.Fatal(err)
	}
	player.recordsOn(out, 0)
	report := player.interrupt()

	score, err := engine.ReadScore(report.Recordings[1], testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	var struck []int64
	for _, e := range score.Events {
		if e.Kind() == engine.KindNoteOn && e.Data2 == chordVelocity && e.Data1 == 60 {
			struck = append(struck, e.Frame)
		}
	}
	if len(struck) != 2 {
		t.Fatalf("key 60 is struck at frames %v, want twice", struck)
	}
	for c, x := range readRecording(t, out).channels {
		before := x[int(struck[1])-seconds(0.5) : struck[1]]
		if low, high := levelDB(before, testsound.KeyHz(48)), levelDB(before, 3*testsound.KeyHz(60)); low < -50 ||
			high > -80 {
			t.Errorf("channel %d: before it is struck again, the third partial of the old map has %.0f dBFS, the "+
				"first of the new one %.0f", c, high, low)
		}
		if cut := clicks(x, highestToneHz, clickLevel); len(cut) > 0 {
			t.Errorf("channel %d is cut at frames %v", c, cut)
		}
		after := x[int(struck[1])+seconds(0.2) : int(struck[1])+seconds(0.7)]
		if off := testsound.Cents(testsound.ToneHz(after, testRateHz, testsound.KeyHz(48)),
			testsound.KeyHz(48)); math.Abs(off) > 5 {
			t.Errorf("channel %d: struck again, the tone is %.2f cents off", c, off)
		}
	}
}
