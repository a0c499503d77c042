// A small project for the tests of what plays it.

package live

import (
	"math"
	"path/filepath"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// newProject writes a map in which every key sounds each of zones cycles, of two sines a fifth apart.
func newProject(t testing.TB, zones, polyphony int) (path string, m *mapping.Map) {
	t.Helper()
	dir := t.TempDir()
	m = mapping.New()
	m.Layers, m.Polyphony, m.OverlapSec, m.AttackSec, m.ReleaseSec = []string{"one"}, polyphony, 0.1, 0.01, 0.1
	m.HeadroomDB = 20 * math.Log10(float64(max(polyphony, 1)))
	for strand, hz := range map[string]float64{"a": 200, "b": 300} {
		writeSine(t, filepath.Join(dir, strand+".wav"), hz)
	}
	starts := mapping.GoldenStarts(zones)
	for zone := range zones {
		m.Zones = append(m.Zones, mapping.Zone{Rank: string(rune('a' + zone)), Root: 64, Low: 40, High: 88,
			Start: starts[zone], Beds: map[string][]string{"one": {"a.wav", "b.wav"}}})
	}
	path = filepath.Join(dir, mapping.FileName)
	save(t, m, path)
	return path, m
}

func save(t testing.TB, m *mapping.Map, path string) {
	t.Helper()
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
}

// writeSine writes three seconds at half of full scale; 200 and 300 Hz end where they began.
func writeSine(t testing.TB, path string, hz float64) {
	t.Helper()
	w, err := wav.Create(path, testRateHz, 2, wav.PCM24)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	out := make([]float32, 2*3*testRateHz)
	for i := range len(out) / 2 {
		x := float32(0.5 * math.Sin(2*math.Pi*hz*float64(i)/testRateHz))
		out[2*i], out[2*i+1] = x, x
	}
	if err := w.WriteFrames(out); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
}

func openEngine(t testing.TB, path string) *engine.Engine {
	t.Helper()
	e, err := engine.Open(path, engine.Settings{MemoryBytes: 48 << 20})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := e.Close(); err != nil {
			t.Error(err)
		}
	})
	return e
}

// playerRig is a player with one input of events, and what it plays.
type playerRig struct {
	*Player
	engine *engine.Engine
	input  *Input
	path   string
	m      *mapping.Map
}

func newPlayerRig(t testing.TB, zones, polyphony int) *playerRig {
	t.Helper()
	path, m := newProject(t, zones, polyphony)
	e, arrivals := openEngine(t, path), NewArrivals(testRateHz)
	input, err := arrivals.Open()
	if err != nil {
		t.Fatal(err)
	}
	return &playerRig{NewPlayer(e, arrivals, nil), e, input, path, m}
}

// render plays a block, its frames read ahead.
func (r *playerRig) render(out []float32) {
	r.engine.Fill()
	r.Render(out)
}
