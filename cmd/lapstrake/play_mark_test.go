// A moment that is marked while playing is kept, listed, and rendered again to the very samples.

//go:build linux && cgo

package main

import (
	"encoding/json"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gitlab.com/gomidi/midi/v2/smf"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/testsound"
)

// report runs a command and reads its JSON.
func report(t testing.TB, into any, words ...string) {
	t.Helper()
	var out, notices spoken
	if code := run(words, streams{&out, &notices}); code != exitDone {
		t.Fatalf("%q: exit code %d\n%s", words, code, &notices)
	}
	if err := json.Unmarshal([]byte(out.String()), into); err != nil {
		t.Fatalf("%q: %v\n%s", words, err, &out)
	}
}

// A chord is struck long before the mark and its dynamics and pedals move; a note is released and one struck in
// between. What is rendered from the mark is what was recorded, within −100 dB, both of the seconds before.
func TestPlayMarkIsHeardAgain(t *testing.T) { measured(t, testPlayMarkIsHeardAgain) }

func testPlayMarkIsHeardAgain(t *attempt) {
	dir, out := toneProject(t, 48, 84, 3, func(m *mapping.Map) {
		m.ReleaseSec, m.AttackSec,
			m.HeadroomDB = 4, 0.5, 6
	}), filepath.Join(t.TempDir(), "evening.wav")
	s := startJACK(t, longPeriodFrames)
	keyboard, tty := openPair(t)
	player := launchOn(t, s.env, tty, "lapstrake", "play", dir, "--record", out)
	player.says("playing on ", 0)
	player.says(noticeInput, 0)
	s.send(midiIn, markedEvening())
	s.record(14, append(outputs, "jacksend:click")...).holds(0.2) // now events are sent
	mark := func(number string) {
		if _, err := io.WriteString(keyboard, "m"); err != nil {
			t.Fatal(err)
		}
		player.says("mark "+number+": .*, dynamics", 0)
	}
	player.recordsOn(out, 2)
	mark("1") // fewer than 5 s after the beginning
	player.recordsOn(out, 8)
	mark("2")
	player.recordsOn(out, 0.5)
	if _, err := io.WriteString(keyboard, "q"); err != nil {
		t.Fatal(err)
	}
	if code := player.wait(); code != exitDone {
		t.Fatalf("exit code %d\n%s", code, &player.notices)
	}

	recorded := readRecording(t, out)
	frames := markersOf(t, strings.TrimSuffix(out, ".wav")+".mid")
	for number, lead := range map[string]float64{"1": 0, "2": 5} {
		var said markFigures
		again := filepath.Join(t.TempDir(), "again.wav")
		report(t, &said, "hold", dir, "--mark", number, "-o", again, "--format", "float", "--json")
		at, ok := frames["mark "+number]
		if marked := int64(math.Round(said.Row.AtSec * testRateHz)); !ok || at-marked < 0 ||
			at-marked > int64(seconds(1)) {
			t.Errorf("mark %s stands at frame %d of the performance, and in the sheet at %d", number, at, marked)
		}
		if !said.Changed.Sounds() || len(said.Changed.Map) > 0 || lead > 0 && said.LeadSec != lead ||
			said.Row.Performance == "" {
			t.Errorf("mark %s: %+v", number, said)
		}
		from, until := said.Row.AtSec-said.LeadSec, said.Row.AtSec
		first, last := int(math.Round(from*testRateHz)), int(math.Round(until*testRateHz))
		got := readRecording(t, again)
		for c := range 2 {
			want := recorded.channels[c][first:last]
			off := testsound.AmplitudeDB(testsound.RMS(difference(got.channels[c][:len(want)], want)))
			level := testsound.AmplitudeDB(testsound.RMS(want))
			t.Logf("mark %s, %.1f s before it: differs by %.1f dBFS from %.1f dBFS", number, said.LeadSec, off, level)
			if level < -40 || !(off < -100) {
				t.Errorf("mark %s differs from the recording by %.1f dBFS of %.1f dBFS, want less than −100",
					number, off, level)
			}
		}
	}
	testMarkTellsChanges(t, dir)
}

// markedEvening is struck, bent, moved and released around the two marks.
func markedEvening() []engine.Event {
	at := func(sec float64) int64 { return int64(seconds(sec)) }
	events := presses(at(0.2), 100, 48, 55)
	events = append(events, engine.Control(at(0.4), 0, 1, 90), engine.NoteOn(at(1), 3, 64, 80),
		engine.NoteOff(at(3), 3, 64), engine.Control(at(4), 0, engine.ControlHold, 127),
		engine.NoteOn(at(5), 0, 67, 60), engine.NoteOff(at(6), 0, 67),
		engine.Bend(at(7), 0, 9000), engine.Control(at(8), 0, 1, 20), engine.NoteOn(at(8.5), 0, 71, 90),
		engine.Control(at(9), 0, 7, 100), engine.NoteOff(at(9.5), 0, 48), engine.Control(at(10), 0, 1, 70))
	return events
}

// markersOf are the frames of the markers in a performance.
func markersOf(t testing.TB, path string) map[string]int64 {
	t.Helper()
	file, err := smf.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	frames, at := map[string]int64{}, int64(0)
	for _, event := range file.Tracks[0] {
		at += int64(event.Delta)
		if text := ""; event.Message.GetMetaMarker(&text) {
			frames[text] = at
		}
	}
	return frames
}

// What changed since a mark is said by name: map fields, under which it sounds on as it did, and beds.
func testMarkTellsChanges(t testing.TB, dir string) {
	path := filepath.Join(dir, mapping.FileName)
	m, err := mapping.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	m.HeadroomDB = 18
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	var said markFigures
	report(t, &said, "hold", dir, "--mark", "2", "--json")
	if len(said.Changed.Map) != 1 || said.Changed.Map[0] != "headroom 6 → 18 dB" || !said.Changed.Sounds() {
		t.Errorf("after the headroom went from 6 to 18: %+v", said.Changed)
	}
	bed := m.Zones[m.ZonesAt(48)[0]].Beds["soft"][0]
	if err := os.Remove(filepath.Join(dir, bed)); err != nil {
		t.Fatal(err)
	}
	writeTone(t, filepath.Join(dir, bed), 300, 0, seconds(3))
	report(t, &said, "hold", dir, "--mark", "2", "--json")
	if len(said.Changed.Beds) != 1 || said.Changed.Beds[0] != bed || said.Changed.Sounds() {
		t.Errorf("after %s changed: %+v", bed, said.Changed)
	}
	if err := os.Remove(filepath.Join(dir, bed)); err != nil {
		t.Fatal(err)
	}
	report(t, &said, "hold", dir, "--mark", "2", "--json")
	if len(said.Changed.Missing) != 1 || said.Changed.Missing[0] != bed {
		t.Errorf("after %s went: %+v", bed, said.Changed)
	}
	testBrokenSheetOfMarks(t, dir)
}

// A sheet of marks that cannot be understood is refused with row and cell, and left as it is.
func testBrokenSheetOfMarks(t testing.TB, dir string) {
	path := filepath.Join(dir, project.MarksFile)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	broken := strings.Replace(string(data), "\n2,", "\ntwo,", 1)
	if err := os.WriteFile(path, []byte(broken), 0o666); err != nil {
		t.Fatal(err)
	}
	var out, notices spoken
	const want = `marks.csv: row 3, column mark (A): found "two", expected the number of a mark`
	if code := run([]string{"marks", dir}, streams{&out, &notices}); code != exitFailure ||
		!strings.Contains(notices.String(), want) {
		t.Errorf("exit code %d: %s", code, &notices)
	}
}
