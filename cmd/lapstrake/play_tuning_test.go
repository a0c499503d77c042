// Tunings from another program, while a note sounds.

//go:build linux && cgo

package main

import (
	"math"
	"path/filepath"
	"testing"

	"lapstrake/mapping/testsound"
)

// A dump, which comes in one message of 408 bytes, tunes the next note; a change in real time moves the note that
// sounds; and the performance that was recorded renders to the same sound.
func TestPlayIsTunedByAnotherProgram(t *testing.T) { measured(t, testPlayIsTunedByAnotherProgram) }

func testPlayIsTunedByAnotherProgram(t *attempt) {
	s := startJACK(t, longPeriodFrames)
	project := toneProject(t, 48, 84, 3, nil)
	take := filepath.Join(t.TempDir(), "tuned.wav")
	player := s.play(project, "--record", take)
	dump := append([]byte{0xF0, 0x7E, 0x7F, 0x08, 0x01, 0}, "an estuary bell."...)
	sum := byte(0x7E ^ 0x7F ^ 0x08 ^ 0x01)
	for _, b := range dump[6:] {
		sum ^= b
	}
	const aboveCents = 23.4375 // 0x1E00 of 0x8000 halves
	for key := range byte(128) {
		dump = append(dump, key, 0x1E, 0)
		sum ^= key ^ 0x1E
	}
	dump = append(dump, sum&0x7F, 0xF7)
	change := []byte{0xF0, 0x7F, 0x7F, 0x08, 0x02, 0, 1, 60, 59, 0x40, 0, 0xF7}
	frame := func(sec float64) int64 { return int64(seconds(sec)) }
	s.sendMessages(midiIn, []sentMessage{
		{frame(0.5), dump}, {frame(0.6), []byte{0x90, 60, 100}}, {frame(2), change},
		{frame(3.4), []byte{0x80, 60, 64}},
	})
	got := s.record(5, append(outputs, "jacksend:click")...).finished()
	report := player.interrupt()

	x := got.channels[0]
	heard := onsets(x, 1e-4, seconds(0.05))
	if len(heard) != 1 {
		t.Fatalf("notes begin at frames %v, want one", heard)
	}
	for _, part := range []struct{ fromSec, pitch float64 }{{0.2, 60 + aboveCents/100}, {1.7, 59.5}} {
		want := testsound.KeyHz(part.pitch)
		sound := x[heard[0]+seconds(part.fromSec):][:seconds(0.8)]
		if off := testsound.Cents(testsound.ToneHz(sound, testRateHz, want), want); !(math.Abs(off) <= 0.1) {
			t.Errorf("%v s after its beginning the note is %.3f cents off pitch %v", part.fromSec, off, part.pitch)
		}
	}
	again := filepath.Join(t.TempDir(), "again.wav")
	if code := launch(t, s.env, "", "lapstrake", "render", project, report.Recordings[1], "-o", again, "--format",
		"float").wait(); code != exitDone {
		t.Fatalf("rendering the performance: exit code %d", code)
	}
	want, recorded := readRecording(t, again), readRecording(t, take)
	full := append(want.channels[0], make([]float64, len(recorded.channels[0]))...)
	requireSame(t, "the recording", recorded.channels[0], full[:len(recorded.channels[0])])
}
