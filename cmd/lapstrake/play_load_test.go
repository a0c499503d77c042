// As many voices as the map allows, on short blocks, while maps are reloaded and garbage is collected.

//go:build linux && cgo

package main

import (
	"path/filepath"
	"strconv"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// 256 voices sound at 64 frames, for a minute unless -short, through ten reloads and ten collections of garbage a
// second. No frame of a bed comes late, what was played is nowhere cut, and what came out is not cut more often than
// the server saw a client come late.
func TestPlayCarriesAFullKeyboard(t *testing.T) { measuredAlone(t, testPlayCarriesAFullKeyboard) }

func testPlayCarriesAFullKeyboard(t *attempt) {
	heldSec := 60
	if testing.Short() {
		heldSec = 6
	}
	const lowest, highest, reloads, periodFrames = 21, 84, 10, 64 // 64 keys of four cycles
	var m *mapping.Map
	project := toneProject(t, lowest, highest, 3, func(made *mapping.Map) {
		m = made
		m.HeadroomDB = 30
	})
	s := startJACK(t, periodFrames)
	s.env = append(s.env, collectGarbage+"=yes")
	out := filepath.Join(t.TempDir(), "full.wav")
	player := s.play(project, "--block", strconv.Itoa(periodFrames), "--record", out)
	var events []engine.Event
	for key := lowest; key <= highest; key++ {
		events = append(events, engine.NoteOn(int64(seconds(0.5)), 0, byte(key), 100))
	}
	s.send(midiIn, events)
	recorder := s.record(heldSec, append(outputs, "jacksend:click")...)
	said := 0
	for i := range reloads {
		recorder.holds(float64(heldSec*(i+1)) / (reloads + 2))
		m.ReleaseSec += 0.001
		saveMap(t, m, project, nil)
		said = player.says(noticeReloaded, said)
	}
	heard := recorder.finished()
	report := player.interrupt()

	if report.Voices != 4*(highest-lowest+1) || report.Reloads != reloads || report.Misses+report.Dropped > 0 {
		t.Errorf("%d voices, %d reloads, %d misses, %d frames not recorded; want %d, %d and none",
			report.Voices, report.Reloads, report.Misses, report.Dropped, 4*(highest-lowest+1), reloads)
	}
	for c, x := range readRecording(t, out).channels {
		if cut := clicks(x, highestToneHz, clickLevel); len(cut) > 0 {
			t.Errorf("channel %d of the recording is cut at frames %v", c, cut)
		}
	}
	for c, x := range heard.channels[:2] {
		cut := clicks(x, highestToneHz, clickLevel)
		t.Logf("channel %d, %.1f dBFS: cut %d times in %d s; a client was late %d times", c,
			testsound.AmplitudeDB(testsound.RMS(x[seconds(2):])), len(cut), heldSec, s.late())
		if len(cut) > s.late() {
			t.Errorf("channel %d is cut %d times, at frames %v…; a client was late %d times", c, len(cut),
				cut[:min(len(cut), 10)], s.late())
		}
	}
}
