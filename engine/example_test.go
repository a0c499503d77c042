package engine_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// writeProject makes a map of one zone, whose one bed is a second of A4.
func writeProject(dir string) (path string, err error) {
	m := mapping.New()
	m.Layers, m.Strands, m.OverlapSec = []string{"only"}, []string{"a"}, 0.1
	m.Zones = []mapping.Zone{{Rank: "one", Root: 69, Low: 57, High: 69, Beds: map[string][]string{"only": {"a4.wav"}}}}
	sound := make([]float32, 2*m.RateHz)
	for i := range sound {
		sound[i] = float32(0.5 * math.Sin(2*math.Pi*440*float64(i/2)/float64(m.RateHz)))
	}
	bed, err := wav.Create(filepath.Join(dir, "a4.wav"), m.RateHz, 2, wav.PCM24)
	if err != nil {
		return "", err
	}
	defer bed.Discard()
	if err := bed.WriteFrames(sound); err != nil {
		return "", err
	}
	if err := bed.Commit(); err != nil {
		return "", err
	}
	path = filepath.Join(dir, mapping.FileName)
	return path, m.Save(path)
}

// A key is played without a sound device, and what sounds is looked at.
func ExampleEngine() {
	dir, err := os.MkdirTemp("", "example-")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	path, err := writeProject(dir)
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := engine.Open(path, engine.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer e.Close()
	out := make([]float32, 2*512)
	e.Fill() // in real time, Start does so meanwhile
	e.Render(out, engine.NewList([]engine.Event{engine.NoteOn(0, 0, 57, 100)}))

	var sounding engine.Snapshot
	e.Snapshot(&sounding)
	for _, c := range sounding.Cycles {
		fmt.Printf("key %d of zone %d: %d frames of the cycle after %d of sound\n", c.Key, c.Zone,
			c.PlayedFrames, sounding.Frame)
	}
	// Output: key 57 of zone 0: 256 frames of the cycle after 512 of sound
}

// A performance is written as a Standard MIDI File, of which a tick is a frame, and read again.
func ExampleWriteScore() {
	var file bytes.Buffer
	played := engine.Score{Events: []engine.Event{engine.NoteOn(4800, 0, 60, 100), engine.NoteOff(52801, 0, 60)},
		Frames: 96000}
	if err := engine.WriteScore(&file, played, 48000); err != nil {
		fmt.Println(err)
		return
	}
	score, err := engine.ParseScore(&file, "evening.mid", 48000)
	fmt.Println(score.Events[1].Frame, score.Frames, err)
	// Output: 52801 96000 <nil>
}
