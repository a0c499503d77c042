package main

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

// Each desktop has its own program; without a display there is nothing to open anything on.
func TestOpeners(t *testing.T) {
	for _, c := range []struct {
		system, variable string
		want             []string
	}{
		{"linux", "DISPLAY", []string{"xdg-open"}}, {"freebsd", "WAYLAND_DISPLAY", []string{"xdg-open"}},
		{"linux", "", nil},
		{"darwin", "", []string{"open"}}, {"windows", "", []string{"rundll32", "url.dll,FileProtocolHandler"}},
	} {
		got := openerOf(c.system, func(name string) string {
			if name == c.variable {
				return ":0"
			}
			return ""
		})
		if !slices.Equal(got, c.want) {
			t.Errorf("%s with %q: %q, want %q", c.system, c.variable, got, c.want)
		}
	}
}

// The opener gets the address as one word, whatever is in it, and nobody waits for it; where it is missing, nothing
// happens.
func TestTheOpenerGetsTheAddress(t *testing.T) {
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		t.Skip("the opener is the system's own")
	}
	dir := t.TempDir()
	t.Setenv("PATH", dir+string(os.PathListSeparator)+os.Getenv("PATH"))
	t.Setenv("DISPLAY", ":9")
	said := filepath.Join(dir, "said")
	script := "#!/bin/sh\nprintf '%s\\n' \"$#\" \"$@\" > '" + said + ".part'\nmv '" + said + ".part' '" + said + "'\n"
	if err := os.WriteFile(filepath.Join(dir, "xdg-open"), []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	const address = "http://127.0.0.1:4711/?token=0123&more=$(touch x)"
	if !openAddress(address) {
		t.Fatal("nothing was opened")
	}
	var text []byte
	for began := time.Now(); text == nil && time.Since(began) < 20*time.Second; time.Sleep(5 * time.Millisecond) {
		text, _ = os.ReadFile(said)
	}
	if got := strings.Split(strings.TrimSpace(string(text)), "\n"); !slices.Equal(got, []string{"1", address}) {
		t.Errorf("the opener was told %q", got)
	}
	t.Setenv("PATH", t.TempDir())
	if openAddress(address) {
		t.Error("an opener that is not there was begun")
	}
	t.Setenv("DISPLAY", "")
	t.Setenv("WAYLAND_DISPLAY", "")
	if openAddress(address) {
		t.Error("it was opened without a display")
	}
}
