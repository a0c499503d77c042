// Watching the map.

package live

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

func TestWatchReloads(t *testing.T) {
	path, m := newProject(t, 1, 8)
	e := openEngine(t, path)
	reports := make(chan error, 10)
	stop, err := Watch(path, e, func(l Loaded) { reports <- l.Err })
	if err != nil {
		t.Fatal(err)
	}
	next := func(what string) error {
		t.Helper()
		select {
		case err := <-reports:
			return err
		case <-time.After(10 * time.Second): // far more than the second it may take
			t.Fatalf("%s: nothing happened", what)
			return nil
		}
	}

	m.ReleaseSec = 0.3
	save(t, m, path) // by renaming, as most programs do
	if err := next("saving"); err != nil || e.Map().ReleaseSec != 0.3 {
		t.Errorf("after saving: %v, release %v; expected none and 0.3", err, e.Map().ReleaseSec)
	}

	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(string(text), "release_sec = 0.3", "release_sec = 0.4", 1)
	if err := os.WriteFile(path, []byte(changed), 0o666); err != nil { // in place
		t.Fatal(err)
	}
	if err := next("writing in place"); err != nil || e.Map().ReleaseSec != 0.4 {
		t.Errorf("after writing in place: %v, release %v; expected none and 0.4", err, e.Map().ReleaseSec)
	}

	wrong := strings.Replace(changed, "release_sec = 0.4", "release_sec = \"slow\"", 1)
	if err := os.WriteFile(path, []byte(wrong), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := next("writing nonsense"); err == nil || !strings.Contains(err.Error(), "map.toml") ||
		e.Map().ReleaseSec != 0.4 {
		t.Errorf("after writing nonsense: %v, release %v; expected an error that names the file, and 0.4", err,
			e.Map().ReleaseSec)
	}

	if err := os.WriteFile(path, []byte(changed), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := next("mending"); err != nil {
		t.Errorf("after mending: %v", err)
	}
	stop()
	close(reports) // a report after the end would panic
	save(t, m, path)
}

// watched opens a project that is watched, and waits for what is reported of it.
func watched(t *testing.T) (path string, m *mapping.Map, e *engine.Engine, reports chan Loaded) {
	t.Helper()
	path, m = newProject(t, 1, 8)
	e = openEngine(t, path)
	reports = make(chan Loaded, 100)
	stop, err := Watch(path, e, func(l Loaded) { reports <- l })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(stop)
	return path, m, e, reports
}

// nextOf waits for the next report.
func nextOf(t *testing.T, reports chan Loaded, what string) Loaded {
	t.Helper()
	select {
	case l := <-reports:
		return l
	case <-time.After(10 * time.Second):
		t.Fatalf("%s: nothing happened", what)
		return Loaded{}
	}
}

// A bed that is another one, by renaming or in place, is loaded as a changed map is; while a command works on the
// project beds wait for it, and then come together. What is no bed is nothing.
func TestWatchFollowsBeds(t *testing.T) {
	path, _, e, reports := watched(t)
	dir := filepath.Dir(path)
	expect := func(what string, beds ...string) {
		t.Helper()
		if l := nextOf(t, reports, what); l.Err != nil || !slices.Equal(l.Beds, beds) ||
			len(e.ChangedBeds(path)) != 0 {
			t.Errorf("%s: %+v, and %q are not loaded; expected %q to be", what, l, e.ChangedBeds(path), beds)
		}
	}
	writeSine(t, filepath.Join(dir, "a.wav"), 400)
	expect("by renaming", "a.wav")
	data, err := os.ReadFile(filepath.Join(dir, "b.wav"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "notes.wav"), data, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "a.wav"), data, 0o666); err != nil {
		t.Fatal(err)
	}
	expect("in place", "a.wav")

	release, err := project.Lock(dir, "build")
	if err != nil {
		t.Fatal(err)
	}
	for _, hz := range []float64{500, 600} {
		for _, bed := range []string{"a.wav", "b.wav"} {
			writeSine(t, filepath.Join(dir, bed), hz)
			time.Sleep(2 * mapRest)
		}
	}
	release()
	expect("built", "a.wav", "b.wav")
}

// A map that names a bed which is not there is loaded once the bed has come.
func TestWatchWaitsForABed(t *testing.T) {
	path, m, _, reports := watched(t)
	m.Zones[0].Beds["one"][0] = "beds/late.wav"
	if err := os.Mkdir(filepath.Join(filepath.Dir(path), "beds"), 0o777); err != nil {
		t.Fatal(err)
	}
	save(t, m, path)
	if l := nextOf(t, reports, "saving"); l.Err == nil || !strings.Contains(l.Err.Error(), "late.wav") {
		t.Fatalf("a bed is missing: %v", l.Err)
	}
	time.Sleep(3 * buildTime)
	if len(reports) > 0 {
		t.Error("it is said again though nothing has changed")
	}
	writeSine(t, filepath.Join(filepath.Dir(path), "beds", "late.wav"), 400)
	if l := nextOf(t, reports, "the bed"); l.Err != nil {
		t.Errorf("the bed is there: %v", l.Err)
	}
}

// A map that is deleted is told of once and followed when it is back, and so are a folder that is deleted and made
// again, and one that is moved away.
func TestWatchFollowsWhatWasTakenAway(t *testing.T) {
	path, m, e, reports := watched(t)
	dir := filepath.Dir(path)
	gone := func(what string) {
		t.Helper()
		wanted := (*GoneError)(nil)
		if l := nextOf(t, reports, what); !errors.As(l.Err, &wanted) || wanted.Path != path {
			t.Fatalf("%s: %+v, expected that the map has gone", what, l)
		}
	}
	back := func(what string, releaseSec float64) {
		t.Helper()
		m.ReleaseSec = releaseSec
		for _, bed := range []string{"a.wav", "b.wav"} {
			writeSine(t, filepath.Join(dir, bed), 300)
		}
		save(t, m, path)
		for e.Map().ReleaseSec != releaseSec { // a folder made again may be found before all is in it
			if l := nextOf(t, reports, what); l.Err != nil && !strings.Contains(l.Err.Error(), "missing") {
				t.Fatalf("%s: %v", what, l.Err)
			}
		}
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	gone("the map was deleted")
	back("the map was made again", 0.5)
	for turn := range 2 {
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		gone("the folder was deleted")
		if err := os.Mkdir(dir, 0o777); err != nil {
			t.Fatal(err)
		}
		back("the folder was made again", 0.6+float64(turn)/10)
		back("the map was changed after that", 0.65+float64(turn)/10)
	}
	time.Sleep(2*mapRest + buildTime) // all that was changed before has been told
	if err := os.Rename(dir, dir+"-away"); err != nil {
		t.Fatal(err)
	}
	gone("the folder was moved away")
	if err := os.Rename(dir+"-away", dir); err != nil {
		t.Fatal(err)
	}
	if l := nextOf(t, reports, "the folder was moved back"); l.Err != nil {
		t.Errorf("the folder was moved back: %v", l.Err)
	}
}
