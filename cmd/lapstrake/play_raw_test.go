// Playing from a named pipe on a machine without a sound device, and what play refuses.

//go:build linux && cgo

package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping/testsound"
)

// withoutJACK is an environment in which no JACK server is found. The test is left out on a machine that has other
// sound outputs: nobody wants to hear it.
func withoutJACK(t *testing.T) []string {
	t.Helper()
	env := append(os.Environ(), "JACK_DEFAULT_SERVER=lapstrake-none", "JACK_NO_START_SERVER=1")
	devices := exec.Command("lapstrake", "devices", "--json")
	devices.Env = env
	listed, err := devices.Output()
	if err != nil {
		t.Fatal(err)
	}
	var list struct{ Outputs []deviceRow }
	if err := json.Unmarshal(listed, &list); err != nil {
		t.Fatal(err)
	}
	if len(list.Outputs) > 0 {
		t.Skipf("this machine has a sound output: %s", list.Outputs[0].Name)
	}
	return env
}

// Without a device one sentence says so, and everything else works by the clock: bytes in running status, with a
// clock byte between them and cut anywhere, sound at their pitches in the recording, and are the performance.
func TestPlayGoesOnWithoutADevice(t *testing.T) {
	env, keys := withoutJACK(t), newKeyboard(t)
	project, out := toneProject(t, 48, 84, 3, nil), filepath.Join(t.TempDir(), "harbour.wav")
	player := launch(t, env, "", "lapstrake", "play", project, "--json", "--record", out, "--midi-raw",
		keys.pipe.Name())
	player.says(`^No sound device was found: .*by the clock\.$`, 0)
	player.says(`playing on no device`, 0)
	for _, piece := range [][]byte{{0x90, 60}, {100, 67, 0xF8, 90}} {
		if _, err := keys.pipe.Write(piece); err != nil {
			t.Fatal(err)
		}
	}
	player.recordsOn(out, 1)
	report := player.interrupt()

	score, err := engine.ReadScore(report.Recordings[1], testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	var got []engine.Event
	for _, e := range score.Events {
		if e.Kind() == engine.KindNoteOn {
			got = append(got, engine.NoteOn(0, e.Channel(), e.Data1, e.Data2))
		}
	}
	if want := []engine.Event{engine.NoteOn(0, 0, 60, 100), engine.NoteOn(0, 0, 67, 90)}; !slices.Equal(got, want) {
		t.Errorf("the performance has the note-ons %v, want %v", got, want)
	}
	x := readRecording(t, out).channels[0]
	for _, key := range []int{60, 67} {
		note := x[onsets(x, 1e-4, 0)[0]+seconds(0.1):][:seconds(0.7)]
		if off := testsound.Cents(testsound.ToneHz(note, testRateHz, testsound.KeyHz(key)),
			testsound.KeyHz(key)); !(math.Abs(off) <= 0.5) || levelDB(note, testsound.KeyHz(key)) < -40 {
			t.Errorf("key %d is recorded %.3f cents off, at %.0f dBFS", key, off, levelDB(note, testsound.KeyHz(key)))
		}
	}
	notices := player.notices.String()
	if strings.Count(notices, "sound device") != 1 || regexp.MustCompile("(?i)alsa|server").MatchString(notices) {
		t.Errorf("want one sentence on the device and nothing of what libraries print, found:\n%s", notices)
	}
	if code := launch(t, env, "", "lapstrake", "play", project, "--for", "300ms").wait(); code != exitDone {
		t.Errorf("--for 300ms: exit code %d, want %d", code, exitDone)
	}
}

// What play refuses: the exit code, what is wrong, the mend. Nothing is written or overwritten.
func TestPlayRefuses(t *testing.T) { measured(t, testPlayRefuses) }

func testPlayRefuses(t *attempt) {
	s, project, dir := startJACK(t, longPeriodFrames), toneProject(t, 48, 50, 1, nil), t.TempDir()
	recorder := s.record(20, "system:capture_1") // another client that sound could go to
	s.waitForPort(recorder.process, "jackrec:input1")
	file := filepath.Join(dir, "evening.wav")
	if err := os.WriteFile(file, []byte("a recording"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, refused := range []struct {
		words string
		code  int
		says  string
	}{
		{"--device nobody", exitFailure, `--device "nobody" is in no output's name; .lapstrake devices. lists them`},
		{"--device 99", exitFailure,
			`--device "99" is no device: expected 1 to [0-9]+; .lapstrake devices. lists them`},
		{"--device jack", exitFailure, `--device "jack" means 2 outputs; give more of the name, or the number`},
		{"--midi-raw " + file, exitFailure, `evening\.wav is a file; expected a MIDI device node or a named pipe; ` +
			`.lapstrake render. plays files`},
		{"--midi-raw " + dir, exitFailure, `is a folder; expected a MIDI device node or a named pipe`},
		{"--midi-raw " + dir + "/nothing --record " + dir + "/y.wav", exitFailure,
			`nothing.*: expected a MIDI device node or a named pipe`},
		{"--record " + file, exitFailure, `evening\.wav: .*there already.*choose another name`},
		{"--record " + dir + "/nowhere/x.wav", exitFailure,
			`nowhere/x\.wav: .*no such file or directory; .*choose a folder that is there`},
		{"--chord H3 --record " + dir + "/x.wav", exitWords, `key "H3": expected a number from 0 to 127 or a name`},
	} {
		player := launch(t, s.env, "", append([]string{"lapstrake", "play", project},
			strings.Fields(refused.words)...)...)
		if code := player.wait(); code != refused.code ||
			!regexp.MustCompile(refused.says).MatchString(player.notices.String()) {
			t.Errorf("%s: exit code %d, want %d and %s; it said:\n%s", refused.words, code, refused.code,
				refused.says, &player.notices)
		}
	}
	if kept, err := os.ReadFile(file); err != nil || !bytes.Equal(kept, []byte("a recording")) {
		t.Errorf("%s: %v, now %d bytes", file, err, len(kept))
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 1 {
		t.Errorf("written beside %s: %v, %v", file, left, err)
	}
}
