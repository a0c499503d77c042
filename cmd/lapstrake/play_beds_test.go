// Beds that change or fail while the player plays them.

//go:build linux && cgo

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping"
)

// bedsOf lists the beds of one root of a project, now files of its own: they were links to what other tests read.
func bedsOf(t testing.TB, project string, m *mapping.Map, root int) (paths []string) {
	t.Helper()
	for _, zone := range m.Zones {
		for _, layer := range m.Layers {
			for _, bed := range zone.Beds[layer] {
				if zone.Root == root {
					paths = append(paths, filepath.Join(project, filepath.FromSlash(bed)))
				}
			}
		}
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return paths
}

// A bed that is cut short under a sounding note is named once, however often it is asked for, and the failures are
// counted as what they are. A key without a zone is named once, too.
func TestPlayNamesABedThatCannotBeRead(t *testing.T) {
	env := withoutJACK(t)
	measured(t, func(t *attempt) { testPlayNamesABedThatCannotBeRead(t, env) })
}

func testPlayNamesABedThatCannotBeRead(t *attempt, env []string) {
	keys := newKeyboard(t)
	var m *mapping.Map
	project := toneProject(t, 48, 84, 3, func(made *mapping.Map) { m = made })
	beds := bedsOf(t, project, m, 60)
	out := filepath.Join(t.TempDir(), "leak.wav")
	player := launch(t, env, "", "lapstrake", "play", project, "--json", "--record", out, "--midi-raw",
		keys.pipe.Name(), "--memory", "50") // too little to hold all beds
	player.says(`playing on no device`, 0)
	keys.send(presses(0, 100, 60)...)
	player.recordsOn(out, 0)
	if err := os.Truncate(beds[0], 1000); err != nil {
		t.Fatal(err)
	}
	name := filepath.Base(beds[0])
	player.says(name+": .*; where it cannot be read, its notes fade to silence", 0)
	player.recordsOn(out, 2)
	keys.send(presses(0, 100, 20, 20)...)
	player.says(`^G#0 \(key 20\) lies in no zone of this map: it is silent$`, 0)
	report := player.interrupt()
	if report.ReadErrors == 0 || report.Misses > 0 {
		t.Errorf("%d read errors and %d late reads, want some and none", report.ReadErrors, report.Misses)
	}
	if said := strings.Count(player.notices.String(), "its notes fade to silence"); said != 1 {
		t.Errorf("of the bed it is said %d times, want once:\n%s", said, &player.notices)
	}
	if said := strings.Count(player.notices.String(), "in no zone"); said != 1 {
		t.Errorf("of the silent key it is said %d times, want once:\n%s", said, &player.notices)
	}
	for c, x := range readRecording(t, out).channels {
		if cut := clicks(x, highestToneHz, clickLevel); len(cut) > 0 {
			t.Errorf("channel %d is cut at frames %v", c, cut)
		}
	}
}

// A bed that is another one is taken over under the map from before, and named; a map that has gone is said, and
// followed again when it is back.
func TestPlayFollowsItsBeds(t *testing.T) {
	env := withoutJACK(t)
	var m *mapping.Map
	project := toneProject(t, 48, 84, 3, func(made *mapping.Map) { m = made })
	beds := bedsOf(t, project, m, 60)
	player := launch(t, env, "", "lapstrake", "play", project, "--json")
	said := player.says(`playing on no device`, 0)
	data, err := os.ReadFile(beds[1])
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(beds[0], data, 0o666); err != nil {
		t.Fatal(err)
	}
	said = player.says(noticeReloaded+", since beds/"+filepath.Base(beds[0])+" changed; the next notes play it", said)
	path := filepath.Join(project, mapping.FileName)
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	said = player.says(`map\.toml has gone; it is loaded again when it is back; what was loaded plays on`, said)
	saveMap(t, m, project, nil)
	player.says(noticeReloaded+"; the next notes play it", said)
	if report := player.interrupt(); report.Reloads != 2 {
		t.Errorf("%d reloads, want 2", report.Reloads)
	}
}
