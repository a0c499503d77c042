// `lapstrake play` as a program of its own, and the keyboard that the tests play it on.

//go:build linux && cgo

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine"
)

const collectGarbage = "LAPSTRAKE_TEST_COLLECT_GARBAGE"

// A player that a test starts is this test's own program; if told so it collects garbage ten times a second, as no
// player would of its own accord.
func init() {
	if os.Getenv(collectGarbage) == "" {
		return
	}
	go func() {
		for range time.Tick(100 * time.Millisecond) {
			runtime.GC()
		}
	}()
}

// play starts a player on the server and waits until its output and its input are there.
func (s *jackServer) play(words ...string) *process {
	s.test.Helper()
	p := launch(s.test, s.env, "", append([]string{"lapstrake", "play", "--json"}, words...)...)
	p.says("playing on ", 0)
	p.says(noticeInput, 0)
	return p
}

// What the player is called on the server, and what it says.
const (
	midiIn         = "lapstrake:midi_in"
	noticeInput    = "^MIDI input " + midiIn + ".* is open$"
	noticeLost     = "has gone silent: playing and recording go on by the clock"
	noticeBack     = `is back\.$`
	noticeReloaded = "map.toml: reloaded"
)

var outputs = []string{"lapstrake:out_1", "lapstrake:out_2"}

// interrupt ends a player as Ctrl-C does and returns its report.
func (p *process) interrupt() playReport {
	p.Helper()
	p.signal(syscall.SIGINT)
	if code := p.wait(); code != exitDone {
		p.Fatalf("after Ctrl-C: exit code %d, want %d\n%s", code, exitDone, &p.notices)
	}
	var report playReport
	decoder := json.NewDecoder(strings.NewReader(p.out.String()))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&report); err != nil {
		p.Fatalf("the report: %v\n%s", err, &p.out)
	}
	p.Logf("%+v", report)
	return report
}

// recordsOn waits until a player has recorded so many seconds more: a time by the clock of what plays. A recording on
// the disk is up to a second behind.
func (p *process) recordsOn(path string, sec float64) {
	p.Helper()
	const frameBytes, behindSec = 2 * 3, 1
	want := fileBytes(path) + int64(seconds(behindSec+sec)*frameBytes)
	p.waitUntil(fmt.Sprintf("%.1f s more in %s", sec, path), func() bool { return fileBytes(path) >= want })
}

// fileBytes is the size of a file so far, 0 if it is not there.
func fileBytes(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

// keyboard is a named pipe into which MIDI goes byte by byte, as a device file of raw MIDI gives it.
type keyboard struct {
	testing.TB
	pipe *os.File
}

func newKeyboard(t testing.TB) *keyboard {
	t.Helper()
	path := filepath.Join(t.TempDir(), "keyboard")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	pipe, err := os.OpenFile(path, os.O_RDWR, 0) // for reading too, so that opening does not wait for a reader
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { pipe.Close() })
	return &keyboard{t, pipe}
}

// send sends messages at once, whatever their frames.
func (k *keyboard) send(events ...engine.Event) {
	k.Helper()
	var bytes []byte
	for _, e := range events {
		bytes = append(bytes, e.Status, e.Data1, e.Data2)
	}
	if _, err := k.pipe.Write(bytes); err != nil {
		k.Fatal(err)
	}
}

// presses presses keys at a frame, or with velocity 0 lifts them.
func presses(frame int64, velocity byte, keys ...byte) []engine.Event {
	var events []engine.Event
	for _, key := range keys {
		events = append(events, engine.NoteOn(frame, 0, key, velocity))
	}
	return events
}
