// A small project for the tests: one octave on one rank, bed a on the left alone, bed b on the right alone.

package show_test

import (
	"path/filepath"
	"slices"
	"testing"

	"lapstrake/engine"
	"lapstrake/engine/show"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/wav"
)

const (
	yardRateHz = 8000
	yardBedSec = 2
	yardRoot   = 60
)

// yardMap has zones of one octave below root 60 whose soft and loud beds last softSec and loudSec.
func yardMap(tb testing.TB, dir string, softSec, loudSec float64) *mapping.Map {
	m := mapping.New()
	m.RateHz, m.OverlapSec, m.AttackSec, m.ReleaseSec = yardRateHz, 0.25, 0.01, 0.05
	zone := mapping.Zone{
		Rank: "C", Root: yardRoot, Low: yardRoot - 11, High: yardRoot, Start: 0.25, Beds: map[string][]string{},
	}
	for layer, sec := range map[string]float64{"soft": softSec, "loud": loudSec} {
		zone.Beds[layer] = []string{writeBed(tb, dir, layer+"-a.wav", sec, 0),
			writeBed(tb, dir, layer+"-b.wav", sec, 1)}
	}
	m.Zones = []mapping.Zone{zone}
	return m
}

// writeBed writes a tone on one side and returns its name.
func writeBed(tb testing.TB, dir, name string, sec float64, side int) string {
	tone := testsound.SineWave(yardRateHz, 250, -20, sec)
	frames := make([]float32, 2*len(tone))
	for i, sample := range tone {
		frames[2*i+side] = sample
	}
	w, err := wav.Create(filepath.Join(dir, name), yardRateHz, 2, wav.Float)
	if err != nil {
		tb.Fatal(err)
	}
	defer w.Discard()
	if err := w.WriteFrames(frames); err != nil {
		tb.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		tb.Fatal(err)
	}
	return name
}

// yardChord opens the cycles of a map of equal beds, or of unequal ones, and holds keys.
func yardChord(t *testing.T, softSec, loudSec float64, keys ...int) *show.Chord {
	dir := t.TempDir()
	cycles, err := stream.OpenCycles(yardMap(t, dir, softSec, loudSec), dir, stream.Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cycles.Close() })
	return show.NewChord(cycles, keys)
}

// play renders keys, held for some seconds, from a saved map of equal beds.
func play(t *testing.T, heldSec float64, keys ...int) (*show.Chord, []float32) {
	dir := t.TempDir()
	path := filepath.Join(dir, mapping.FileName)
	if err := yardMap(t, dir, yardBedSec, yardBedSec).Save(path); err != nil {
		t.Fatal(err)
	}
	player, err := engine.Open(path, engine.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { player.Close() })
	performance := show.Performance{
		Engine:  player,
		Events:  show.HoldEvents(keys, 100, int64(heldSec*yardRateHz)),
		TailSec: 1,
	}
	var sound []float32
	var parts []float64
	played, err := performance.Play(func(frames []float32) error {
		sound = append(sound, frames...)
		return nil
	}, func(part float64) { parts = append(parts, part) })
	if err != nil {
		t.Fatal(err)
	}
	if len(parts) == 0 || !slices.IsSorted(parts) || parts[0] < 0 || parts[len(parts)-1] > 1 {
		t.Errorf("progress does not rise from 0 to 1: %v", parts)
	}
	if want := 2 * len(keys); played.MostVoices != want || played.StolenNotes != 0 {
		t.Errorf("%+v, want %d voices: a soft and a loud one each key", played, want)
	}
	return show.NewChord(player.Cycles(), keys), sound
}
