// Nudges go into the map's file as a person would write them, and outlive builds.

package mapping

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// nudgedMap is a map of three zones in two ranks.
func nudgedMap() *Map {
	m := New()
	for _, z := range []Zone{{Rank: "C", Root: 60, Low: 49, High: 60},
		{Rank: "C", Root: 72, Low: 61, High: 72, Start: 0.75}, {Rank: "F#", Root: 66, Low: 55, High: 66, Start: 0.5}} {
		z.Beds = map[string][]string{"soft": {"beds/s.wav", "beds/t.wav"}, "loud": {"beds/l.wav", "beds/m.wav"}}
		m.Zones = append(m.Zones, z)
	}
	return m
}

func saved(t *testing.T, m *Map) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), FileName)
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	return path
}

func textOf(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// A zone that is softer, tuned or silent is so at every key, and the others stay as they are: 6.0206 dB are a half,
// and 100 cents a semitone.
func TestNudgesAreHeard(t *testing.T) {
	m := nudgedMap()
	m.SeamFadeDB = 20
	before := []float64{m.ZoneGain(&m.Zones[0], 57), m.ZoneGain(&m.Zones[2], 57)}
	m.Zones[0].LevelDB, m.Zones[0].TuneCents = -20*math.Log10(2), 25
	if got := m.ZoneGain(&m.Zones[0], 57); math.Abs(got-before[0]/2) > 1e-9 {
		t.Errorf("gain %v, want half of %v", got, before[0])
	}
	if got := m.ZoneGain(&m.Zones[2], 57); got != before[1] {
		t.Errorf("another zone's gain went from %v to %v", before[1], got)
	}
	if got := m.ShiftSemitones(&m.Zones[0], 57); math.Abs(got - -2.75) > 1e-9 {
		t.Errorf("shift %v semitones, want -2.75", got)
	}
	m.Zones[0].Silent = true
	if got := m.ZonesAt(57); !slices.Equal(got, []int{2}) || m.ZoneGain(&m.Zones[0], 57) != 0 ||
		len(m.KeysOf(0)) != 0 {
		t.Errorf("a silent zone sounds: %v", got)
	}
	if got := m.ZoneGain(&m.Zones[2], 57); got != before[1] {
		t.Errorf("another zone makes up for a silent one: %v, was %v", got, before[1])
	}
}

// Comments, order and layout stay; the lines that change are the only ones.
func TestKeptNudgesLeaveTheRestOfTheFile(t *testing.T) {
	m := nudgedMap()
	path := saved(t, m)
	text := strings.Replace(textOf(t, path), "start = 0.75", "start   =  0.75   # after the bell, as Ida likes it", 1)
	text = strings.Replace(text, "[[zones]]", "# the quay\n[[zones]]", 1)
	put(t, path, text)
	if err := KeepNudges(path, m, map[ZoneName]Nudge{{"C", 72}: {Start: 0.3, LevelDB: -1.5}}); err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(text, "start   =  0.75   #", "start   =  0.3   #", 1)
	lines, got := strings.Split(want, "\n"), strings.Split(textOf(t, path), "\n")
	added := []string{"level_db = -1.5", "start_kept = true"}
	got = slices.DeleteFunc(got, func(line string) bool { return slices.Contains(added, line) })
	if !slices.Equal(lines, got) {
		t.Errorf("the file became\n%s", textOf(t, path))
	}
	after, err := Load(path)
	if err != nil || after.Zones[1].Nudge() != (Nudge{Start: 0.3, LevelDB: -1.5}) || !after.Zones[1].StartKept {
		t.Errorf("%+v, %v", after.Zones[1], err)
	}
}

// What somebody else wrote meanwhile is told with its line and never overwritten; what does not touch the nudge is no
// reason to refuse it.
func TestEditsFromElsewhereAreNeverOverwritten(t *testing.T) {
	m := nudgedMap()
	path := saved(t, m)
	edited := strings.Replace(textOf(t, path), "start = 0.75", "start = 0.1", 1)
	put(t, path, edited)
	err := KeepNudges(path, m, map[ZoneName]Nudge{{"C", 72}: {Start: 0.3}})
	var changed *ChangedMeanwhileError
	if !errors.As(err, &changed) || changed.Line == 0 || changed.Found != "0.1" || changed.Then != "0.75" {
		t.Errorf("%v", err)
	}
	if textOf(t, path) != edited {
		t.Error("the file was written all the same")
	}
	// level alone: the start from elsewhere stays
	if err := KeepNudges(path, m, map[ZoneName]Nudge{{"C", 72}: {Start: 0.75, LevelDB: 2}}); err != nil {
		t.Fatal(err)
	}
	after, err := Load(path)
	if err != nil || after.Zones[1].Start != 0.1 || after.Zones[1].LevelDB != 2 {
		t.Errorf("%+v, %v", after.Zones[1], err)
	}
	gone := nudgedMap()
	gone.Zones = gone.Zones[:1]
	if err := gone.Save(path); err != nil {
		t.Fatal(err)
	}
	if err := KeepNudges(path, m, map[ZoneName]Nudge{{"C", 72}: {Start: 0.3}}); !errors.As(err, &changed) ||
		changed.Line != 0 {
		t.Errorf("a zone that is gone: %v", err)
	}
	for _, wrong := range []Nudge{{LevelDB: 13}, {LevelDB: math.NaN()}, {TuneCents: -101}, {Start: 1}} {
		if err := KeepNudges(path, m, map[ZoneName]Nudge{{"C", 60}: wrong}); err == nil {
			t.Errorf("%+v was kept", wrong)
		}
	}
}

// A generated map with kept nudges is still a generated one: a build that lays other zones takes the nudges over, and
// tells of those that have no place.
func TestNudgesOutliveBuilds(t *testing.T) {
	m := nudgedMap()
	path := saved(t, m)
	nudges := map[ZoneName]Nudge{{"C", 60}: {LevelDB: -3, TuneCents: 7}, {"C", 72}: {Start: 0.2},
		{"F#", 66}: {Start: 0.5, Silent: true}}
	if err := KeepNudges(path, m, nudges); err != nil {
		t.Fatal(err)
	}
	if edited, err := EditedByHand(path); edited || err != nil {
		t.Fatalf("counts as edited by hand: %v, %v", edited, err)
	}
	again := nudgedMap()
	again.HeadroomDB = 15
	again.Zones[0].Start, again.Zones[1].Start = 0.25, 0.5
	again.Zones = again.Zones[:2]
	u, err := again.Update(path, Updating{})
	if err != nil || u.Kept || u.Nudged != 2 || len(u.Lost) != 1 || !strings.Contains(u.Lost[0], "rank F#, root 66") {
		t.Errorf("%+v, %v", u, err)
	}
	after, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	if after.HeadroomDB != 15 || after.Zones[0].Nudge() != (Nudge{Start: 0.25, LevelDB: -3, TuneCents: 7}) ||
		after.Zones[1].Nudge() != (Nudge{Start: 0.2}) {
		t.Errorf("%+v", after.Zones)
	}
	if u, err := nudgedMap().Update(path, Updating{Force: true}); err != nil || u.Nudged != 0 {
		t.Errorf("%+v, %v", u, err)
	}
	if after, err := Load(path); err != nil || after.Zones[0].LevelDB != 0 || after.Zones[1].StartKept {
		t.Errorf("forced: %+v, %v", after.Zones, err)
	}
}

// Whatever legal map is nudged however, its file reads back as it.
func TestAnyMapCanBeNudged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		dir, err := os.MkdirTemp("", "nudges")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		path := filepath.Join(dir, FileName)
		if err := m.Save(path); err != nil {
			t.Fatal(err)
		}
		nudges := map[ZoneName]Nudge{}
		for i := range m.Zones {
			name := m.Zones[i].Name()
			if m.ZoneNamed(name) >= 0 && rapid.Bool().Draw(t, "nudged") {
				nudges[name] = Nudge{rapid.Float64Range(0, 0.999).Draw(t, "start"),
					rapid.Float64Range(LeastNudgeDB, MostNudgeDB).Draw(t, "level"),
					rapid.Float64Range(-MostNudgeCents, MostNudgeCents).Draw(t, "cents"),
					rapid.Bool().Draw(t, "silent")}
			}
		}
		if err := KeepNudges(path, m, nudges); err != nil {
			t.Fatal(err)
		}
		after, err := Load(path)
		if err != nil {
			t.Fatal(err)
		}
		for name, to := range nudges {
			if got := after.Zones[after.ZoneNamed(name)].Nudge(); got != to {
				t.Fatalf("%v: %+v, want %+v", name, got, to)
			}
		}
	})
}
