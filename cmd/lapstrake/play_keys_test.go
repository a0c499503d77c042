// The keys of the terminal, and MIDI bound to them, do what they say; the screen shows it.

//go:build linux && cgo

package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// saveSettings gives a project settings that bind messages.
func saveSettings(t testing.TB, dir string, change func(*project.KeySettings)) {
	t.Helper()
	settings := project.Default()
	change(&settings.Keys)
	if err := settings.Save(dir); err != nil {
		t.Fatal(err)
	}
}

// Two maps are exchanged, blindly too, and a reload is undone and told with both values.
func TestPlayExchangesMapsAndUndoesAReload(t *testing.T) {
	env := withoutJACK(t)
	typed, tty := openPair(t)
	var m *mapping.Map
	first := toneProject(t, 48, 84, 3, func(made *mapping.Map) { m = made })
	second := toneProject(t, 48, 84, 3, func(made *mapping.Map) { made.HeadroomDB = 24 })
	player := launchOn(t, env, tty, "lapstrake", "play", first, "--against", second, "--json", "--chord", "60")
	said := player.says(`playing on no device`, 0)
	press := func(keys, pattern string) {
		t.Helper()
		if _, err := io.WriteString(typed, keys); err != nil {
			t.Fatal(err)
		}
		said = player.says(pattern, said)
	}
	press("u", "^nothing was reloaded yet")
	press("e", "^"+filepath.Base(second)+" plays$")
	press("e", "^"+filepath.Base(first)+" plays$")
	before := m.HeadroomDB
	saveMap(t, m, first, func(m *mapping.Map) { m.HeadroomDB = before + 6 })
	press("", "^"+filepath.Base(first)+`/map.toml: reloaded, headroom 12 → 18 dB; held notes move on to it$`)
	press("u", "^the map before the last reload plays: headroom 18 → 12 dB")
	press("u", "^the map of the last reload plays: headroom 12 → 18 dB")
	press("b", "^which map plays is not told from now on")
	quiet := said
	press("eee", "")
	press("b", "^1 was ("+filepath.Base(first)+", 2 was "+filepath.Base(second)+"|"+filepath.Base(
		second)+", 2 was "+filepath.Base(first)+");")
	if text := player.notices.String()[quiet:said]; strings.Contains(text[:strings.Index(text, "1 was")], " plays") {
		t.Errorf("while blind it told: %s", text)
	}
	player.interrupt()
}

// A zone of the last key is chosen, nudged step by step and no further than it may be, taken back, and kept in the
// map's file; a second nudge of the same zone begins where the first one ended.
func TestPlayNudgesZones(t *testing.T) {
	env := withoutJACK(t)
	typed, tty := openPair(t)
	dir := toneProject(t, 48, 84, 3, func(m *mapping.Map) { m.Zones[0].TuneCents = 99 })
	path := filepath.Join(dir, mapping.FileName)
	player := launchOn(t, env, tty, "lapstrake", "play", dir, "--json", "--chord", "48")
	said := player.says(`playing on no device`, 0)
	under := []string{"C at C3", "F# at F#3"}
	zone := func(at int) mapping.Zone {
		t.Helper()
		m, err := mapping.Load(path)
		requireNil(t, err)
		return m.Zones[m.ZonesUnder(48)[at]]
	}
	press := func(keys, pattern string) {
		t.Helper()
		_, err := io.WriteString(typed, keys)
		requireNil(t, err)
		said = player.says(pattern, said)
	}
	press("t", "^nothing was nudged that could be taken back$")
	player.waitUntil("a key was struck", func() bool {
		press("z", "^("+under[0]+": level \\+0.0 dB|no key was struck yet whose zones could be nudged)$")
		return strings.Contains(player.notices.String(), under[0])
	})
	press("[[(", "^"+under[0]+": level -1.5 dB$")
	press("w]])", "^"+under[0]+": tuning \\+100 cents$")
	press("z]", "^"+under[1]+": tuning \\+1 cents$")
	press("ww[", "^"+under[1]+": silent$")
	press("k", "^2 zones kept in map.toml$")
	if z := zone(0); z.LevelDB != -1.5 || z.TuneCents != 100 || z.Silent {
		t.Errorf("kept %+v", z)
	}
	if z := zone(1); z.LevelDB != 0 || z.TuneCents != 1 || !z.Silent {
		t.Errorf("kept %+v", z)
	}
	press("t", "^"+under[1]+": sounds$")
	press("t", "^"+under[1]+": sounds$") // its cents
	press("t", "^"+under[0]+": sounds$")
	press("k", "^2 zones kept in map.toml$")
	if z := zone(0); z.LevelDB != -1.5 || z.TuneCents != 99 {
		t.Errorf("after a step back: kept %+v", z)
	}
	if z := zone(1); z.TuneCents != 0 || z.Silent {
		t.Errorf("after two steps back: kept %+v", z)
	}
	player.interrupt()
}

// What a key does is part of the performance: controllers as messages, a transposed chord as its keys.
func TestPlayKeysAreInThePerformance(t *testing.T) {
	env := withoutJACK(t)
	typed, tty := openPair(t)
	dir := toneProject(t, 48, 84, 3, nil)
	out := filepath.Join(t.TempDir(), "keys.wav")
	player := launchOn(t, env, tty, "lapstrake", "play", dir, "--json", "--chord", "60,64", "--record", out)
	player.says(`playing on no device`, 0)
	player.recordsOn(out, 0)
	for _, keys := range []string{"\x1b[A", "\x1b[D", ".", "<", "d"} {
		if _, err := io.WriteString(typed, keys); err != nil {
			t.Fatal(err)
		}
		player.recordsOn(out, 0.1)
	}
	player.says(`^dry: beds/.*, at its root `, 0)
	report := player.interrupt()
	score, err := engine.ReadScore(report.Recordings[1], testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	var struck []byte
	moved := map[byte]byte{}
	for _, e := range score.Events {
		switch {
		case e.Kind() == engine.KindNoteOn && e.Data2 > 0:
			struck = append(struck, e.Data1)
		case e.Kind() == engine.KindControl && (e.Data1 == 1 || e.Data1 == 7):
			moved[e.Data1] = e.Data2
		}
	}
	if want := []byte{60, 64, 61, 65, 49, 53}; !bytes.Equal(struck, want) {
		t.Errorf("keys %d are struck, want %d", struck, want)
	}
	if moved[1] != 68 || moved[7] != 123 {
		t.Errorf("controllers 1 and 7 stand at %d and %d, want 68 and 123", moved[1], moved[7])
	}
}

// A bound note and a bound controller do what the settings say and do not sound.
func TestPlayServesBoundMIDI(t *testing.T) {
	env, keys := withoutJACK(t), newKeyboard(t)
	dir := toneProject(t, 48, 84, 3, nil)
	saveSettings(t, dir, func(k *project.KeySettings) { k.Undo, k.Stop = "note 50", "controller 80" })
	player := launch(t, env, "", "lapstrake", "play", dir, "--json", "--midi-raw", keys.pipe.Name())
	player.says(`playing on no device`, 0)
	keys.send(presses(0, 100, 50)...)
	player.says(`^nothing was reloaded yet`, 0)
	keys.send(engine.Control(0, 0, 80, 127))
	if code := player.wait(); code != exitDone {
		t.Errorf("exit code %d", code)
	}
	if report := player.out.String(); !strings.Contains(report, `"voices":0`) {
		t.Errorf("a bound key sounds: %s", report)
	}
}

// On a terminal of 100 columns the screen stands at its foot, shows the chord, and is gone in the end.
func TestPlayDrawsItsScreen(t *testing.T) {
	env := withoutJACK(t)
	master, tty := openPair(t)
	requireNil(t, unix.IoctlSetWinsize(int(master.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 40, Col: 100}))
	command := exec.Command("lapstrake", "play", toneProject(t, 48, 84, 3, nil), "--chord", "60,64")
	command.Env, command.Stdin, command.Stderr = append(env, "TERM=xterm"), tty, tty
	requireNil(t, command.Start())
	t.Cleanup(func() { command.Process.Kill() })
	terminal := &screen{columns: 101, height: 40, rows: make([][]rune, 1)} // 100 and one that messages may fill
	shows := func(parts ...string) {
		t.Helper()
		buffer := make([]byte, 1<<16)
		requireNil(t, master.SetReadDeadline(time.Now().Add(patience)))
		for missing := true; missing; {
			n, err := master.Read(buffer)
			if err != nil {
				t.Fatalf("waited in vain for %q: %v; the screen shows\n%s", parts, err, terminal)
			}
			terminal.Write(buffer[:n])
			missing = false
			for _, part := range parts {
				missing = missing || !strings.Contains(terminal.String(), part)
			}
		}
	}
	typing := func(keys string) {
		_, err := io.WriteString(master, keys)
		requireNil(t, err)
	}
	shows("\nlevel ", "\nC4   C4   a", "\nE4   C5   a", "latch", "soft")
	typing("\t\t1")
	shows("1-2 ranks alone ", "alone: rank C", "silent")
	typing("0?")
	shows("strike again what is held")
	typing("?")
	shows("underruns ", "ranks alone     all")
	typing("z[")
	shows("\nnudge      C at ", ": level -0.5 dB", " 1 zone tried; t takes back, k keeps")
	typing("q")
	requireNil(t, command.Wait())
}

// Bound twice, or bound to nothing that there is, a key is refused with its line.
func TestKeySettingsAreStrict(t *testing.T) {
	dir := toneProject(t, 60, 60, 3, nil)
	path := filepath.Join(dir, project.SettingsFile)
	requireNil(t, os.WriteFile(path, []byte("[keys]\nstrike = \"note 21\"\nundo = \"note 21\"\nexchange = \"pad "+
		"4\"\ndance = \"note 3\"\n"), 0o666))
	var notices bytes.Buffer
	if code := run([]string{"play", dir}, streams{io.Discard, &notices}); code != exitFailure {
		t.Errorf("exit code %d", code)
	}
	for _, part := range []string{":4", "pad 4", "note 21", "keys.undo", "keys.dance"} {
		if !strings.Contains(notices.String(), part) {
			t.Errorf("%q is not told: %s", part, &notices)
		}
	}
}
