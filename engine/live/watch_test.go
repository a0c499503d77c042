// Watching the map.

package live

import (
	"os"
	"strings"
	"testing"
	"time"
)

func TestWatchReloads(t *testing.T) {
	path, m := newProject(t, 1, 8)
	e := openEngine(t, path)
	reports := make(chan error, 10)
	stop, err := Watch(path, e, func(err error) { reports <- err })
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
	if err := next("writing nonsense"); err == nil || !strings.Contains(err.Error(), "map.toml") || e.Map().ReleaseSec != 0.4 {
		t.Errorf("after writing nonsense: %v, release %v; expected an error that names the file, and 0.4", err, e.Map().ReleaseSec)
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
