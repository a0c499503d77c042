// Projects of pure tones, which show pitch, onset and every cut of the sound.

//go:build linux && cgo

package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/wav"
)

const (
	toneLevel     = 0.2 // of each bed's partial
	highestToneHz = 5000
	clickLevel    = 4e-4 // four times what the beginning of an attack has above highestToneHz
)

// toneProject makes a project of two ranks, two layers and two strands of which each cycle of a key is another partial
// of its pitch (partialOf): what a recording holds of each can then be told apart. change may alter the map.
func toneProject(t testing.TB, lowest, highest int, bedSec float64, change func(*mapping.Map)) string {
	t.Helper()
	dir := t.TempDir()
	grid := mapping.DefaultGrid()
	grid.LowestKey, grid.HighestKey = lowest, highest
	m := mapping.New()
	m.OverlapSec, m.ReleaseSec = 0.25, 0.05
	var beds []mapping.Bed
	for root := (lowest + 5) / 6 * 6; root <= highest+11; root += 6 {
		for _, layer := range m.Layers {
			for i, strand := range m.Strands {
				bed := mapping.Bed{BedName: mapping.BedName{Layer: layer, Strand: strand, Root: root}}
				bed.Path = filepath.Join("beds", bed.String())
				writeTone(t, filepath.Join(dir, bed.Path), testsound.KeyHz(root)*partialOf(root, layer),
					float64(i), seconds(bedSec))
				beds = append(beds, bed)
			}
		}
	}
	if unused, err := mapping.Generate(m, beds, grid); err != nil || len(unused) > 0 {
		t.Fatal(unused, err)
	}
	saveMap(t, m, dir, change)
	return dir
}

// partialOf is the partial that a root's layer sounds: 1 and 3 in rank C, 2 and 4 in rank F#.
func partialOf(root int, layer string) float64 {
	partial := 1.0
	if layer == "loud" {
		partial = 3
	}
	if root%12 != 0 {
		partial++
	}
	return partial
}

// pulseProject makes a project whose notes begin within eight frames at full level and are gone, for the ear of a
// threshold 20 dB down, within 2 ms of their end: tones of 6 kHz with no attack.
func pulseProject(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	const path = "beds/one-a-k069.wav"
	writeTone(t, filepath.Join(dir, path), testRateHz/8, 0, seconds(1))
	m := mapping.New()
	m.Layers, m.Strands = []string{"one"}, []string{"a"}
	m.AttackSec, m.ReleaseSec, m.OverlapSec, m.HeadroomDB = 0, 0.005, 0.1, 0
	m.Zones = []mapping.Zone{{Rank: "only", Root: 69, Low: 69, High: 69, Beds: map[string][]string{"one": {path}}}}
	saveMap(t, m, dir, nil)
	return dir
}

// saveMap writes the map of a project.
func saveMap(t testing.TB, m *mapping.Map, dir string, change func(*mapping.Map)) {
	t.Helper()
	if change != nil {
		change(m)
	}
	if err := m.Save(filepath.Join(dir, mapping.FileName)); err != nil {
		t.Fatal(err)
	}
}

// writeTone puts a bed of one sine there: a link to a file that is made once and only read.
func writeTone(t testing.TB, path string, hz, phase float64, frames int) {
	t.Helper()
	tone, err := shared(fmt.Sprintf("tone-%v-%v-%d.wav", hz, phase, frames), func(path string) error {
		samples := make([]float32, 2*frames)
		for i := 0; i < len(samples); i += 2 {
			samples[i] = float32(toneLevel * math.Sin(2*math.Pi*hz/testRateHz*float64(i/2)+phase))
			samples[i+1] = samples[i]
		}
		writer, err := wav.Create(path, testRateHz, 2, wav.PCM24)
		if err != nil {
			return err
		}
		defer writer.Discard()
		if err := writer.WriteFrames(samples); err != nil {
			return err
		}
		return writer.Commit()
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Link(tone, path); err != nil {
		t.Fatal(err)
	}
}
