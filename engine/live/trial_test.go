// What is tried on a map is taken back step by step, and kept only when somebody says so.

package live

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping"
)

func tried(t *testing.T) (*Trial, *engine.Engine, string) {
	t.Helper()
	path, _ := newProject(t, 2, 8)
	e, err := engine.Open(path, engine.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { e.Close() })
	return NewTrial(e), e, path
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// Whatever was nudged, taking back leads step by step through every settled state to where it began, and the file has
// not changed meanwhile.
func TestTrialIsTakenBack(t *testing.T) {
	trial, e, path := tried(t)
	before := read(t, path)
	random := rand.New(rand.NewPCG(15, 5))
	zones := []mapping.ZoneName{e.Map().Zones[0].Name(), e.Map().Zones[1].Name()}
	state := func() [2]mapping.Nudge { return [2]mapping.Nudge{e.Map().Zones[0].Nudge(), e.Map().Zones[1].Nudge()} }
	states := [][2]mapping.Nudge{state()}
	for range 30 {
		zone := random.IntN(2)
		for way := range 3 {
			to := mapping.Nudge{Start: float64(random.IntN(100)) / 100, LevelDB: float64(random.IntN(20)) - 10,
				TuneCents: float64(random.IntN(100)) - 50, Silent: random.IntN(4) == 0}
			if err := trial.Move(zones[zone], to, way == 2); err != nil {
				t.Fatal(err)
			}
		}
		states = append(states, state())
	}
	for n := len(states) - 2; n >= 0; n-- {
		if _, err := trial.Undo(); err != nil {
			t.Fatal(err)
		}
		if got := state(); got != states[n] {
			t.Fatalf("after step %d was taken back: %+v, want %+v", n+1, got, states[n])
		}
	}
	if _, err := trial.Undo(); err == nil || len(e.Nudges()) != 0 {
		t.Errorf("%v; still tried: %v", err, e.Nudges())
	}
	if _, err := trial.Keep(t.Context()); err == nil || read(t, path) != before {
		t.Errorf("kept nothing: %v", err)
	}
}

// Keeping writes what is tried, and the map that plays goes on; taking back after that tries the old state, and
// keeping once more writes it.
func TestTrialIsKept(t *testing.T) {
	trial, e, path := tried(t)
	reports := make(chan Loaded, 10)
	stop, err := Watch(path, e, func(l Loaded) { reports <- l })
	if err != nil {
		t.Fatal(err)
	}
	defer stop()
	zone, was := e.Map().Zones[0].Name(), e.Map().Zones[0].Nudge()
	to := was
	to.LevelDB = -2.5
	if err := trial.Move(zone, to, true); err != nil {
		t.Fatal(err)
	}
	if n, err := trial.Keep(t.Context()); n != 1 || err != nil {
		t.Fatal(n, err)
	}
	number, _ := e.Latest()
	if kept, err := mapping.Load(path); err != nil || kept.Zones[0].LevelDB != -2.5 || len(e.Nudges()) != 0 {
		t.Fatalf("%v; still tried: %v", err, e.Nudges())
	}
	if _, err := trial.Undo(); err != nil || e.Map().Zones[0].Nudge() != was {
		t.Errorf("%v, %+v", err, e.Map().Zones[0].Nudge())
	}
	if kept, _ := mapping.Load(path); kept.Zones[0].LevelDB != -2.5 {
		t.Error("taking back wrote the file")
	}
	if _, err := trial.Keep(t.Context()); err != nil {
		t.Fatal(err)
	}
	if kept, _ := mapping.Load(path); kept.Zones[0].Nudge() != was {
		t.Errorf("kept %+v", kept.Zones[0].Nudge())
	}
	// somebody else's change is loaded; what was tried on that zone gives way, and what was not stays
	other := e.Map().Zones[1].Name()
	for _, name := range []mapping.ZoneName{zone, other} {
		if err := trial.Move(name, mapping.Nudge{LevelDB: -1}, true); err != nil {
			t.Fatal(err)
		}
	}
	text := strings.Replace(read(t, path), "start = 0", "level_db = 3\nstart = 0", 1)
	text = strings.Replace(text, "level_db = 0.0\n", "", 1)
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	select {
	case l := <-reports:
		if l.Err != nil || len(l.Dropped) != 1 || l.Dropped[0] != zone {
			t.Errorf("%+v", l)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("the edit was not loaded")
	}
	if now, _ := e.Latest(); now == number || e.Map().Zones[0].LevelDB != 3 || e.Map().Zones[1].LevelDB != -1 {
		t.Errorf("map %d after %d plays %+v", now, number, e.Map().Zones)
	}
}

// An edit from elsewhere that has not been loaded yet is never overwritten.
func TestTrialNeverOverwritesAnEdit(t *testing.T) {
	trial, e, path := tried(t)
	if err := trial.Move(e.Map().Zones[0].Name(), mapping.Nudge{Start: 0.5}, true); err != nil {
		t.Fatal(err)
	}
	edited := strings.Replace(read(t, path), "start = 0", "start = 0.125 # by ear", 1)
	edited = strings.Replace(edited, "by ear.0", "by ear", 1)
	if err := os.WriteFile(path, []byte(edited), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := trial.Keep(t.Context()); err == nil || !strings.Contains(err.Error(), "changed meanwhile") {
		t.Errorf("%v", err)
	}
	if read(t, path) != edited {
		t.Error("the edit was overwritten")
	}
}
