// The memory that a plan foretells is what the player takes.

package main

import (
	"path/filepath"
	"runtime"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/wav"
)

// The grids are those at which heads are shared out, and at which they are as long as they get. Beside heads and
// rings a player holds its voices and the map: less than a tenth.
func TestPlanForetellsThePlayersMemory(t *testing.T) {
	wide, narrow, keys := project.Default(), project.Default(), project.Default()
	narrow.Grid.Ranks, narrow.Grid.LowestKey, narrow.Grid.HighestKey = 1, 49, 72
	keys.Grid.StaggerBy = mapping.ByKey
	for name, settings := range map[string]project.Settings{"wide": wide, "narrow": narrow, "by key": keys} {
		settings.Project.RateHz, settings.Beds.OverlapSec = 8000, 0.1
		dir := t.TempDir()
		var found []mapping.Bed
		for _, slot := range settings.Slots() {
			writeSilentBed(t, filepath.Join(dir, slot.String()))
			found = append(found, mapping.Bed{BedName: slot, Path: slot.String()})
		}
		m, _, err := settings.Map(found)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, mapping.FileName)
		if err := m.Save(path); err != nil {
			t.Fatal(err)
		}
		before := heapBytes()
		player, err := engine.Open(path, engine.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		taken := heapBytes() - before
		player.Close()
		want := engine.PlanMemory(beds.NewPlan(&settings, beds.PlanTakes{}, 1).Heads, m.Polyphony).Bytes()
		t.Logf("%s: %.1f MB taken, %.1f planned", name, float64(taken)/1e6, float64(want)/1e6)
		if taken < want || float64(taken) > 1.1*float64(want) {
			t.Errorf("%s: the player takes %d bytes, the plan says %d", name, taken, want)
		}
	}
}

func heapBytes() int64 {
	runtime.GC()
	runtime.GC()
	var stats runtime.MemStats
	runtime.ReadMemStats(&stats)
	return int64(stats.HeapAlloc)
}

// writeSilentBed writes half a second at 8 kHz.
func writeSilentBed(t *testing.T, path string) {
	t.Helper()
	writer, err := wav.Create(path, 8000, 2, wav.PCM24)
	if err != nil {
		t.Fatal(err)
	}
	defer writer.Discard()
	if err := writer.WriteFrames(make([]float32, 2*4000)); err != nil {
		t.Fatal(err)
	}
	if err := writer.Commit(); err != nil {
		t.Fatal(err)
	}
}
