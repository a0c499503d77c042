// What is recorded while playing is what was played: the sound, and a performance that renders to the same sound.

//go:build linux && cgo

package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// A chord is held, for a minute unless -short, while the dynamics go up and down. The performance that was recorded
// beside the sound renders to the same sound, and so does what JACK's own recorder got.
func TestPlayRecordsWhatSounds(t *testing.T) { measured(t, testPlayRecordsWhatSounds) }

func testPlayRecordsWhatSounds(t *attempt) {
	heldSec := 60
	if testing.Short() {
		heldSec = 6
	}
	project, out := toneProject(t, 48, 84, 3, nil), filepath.Join(t.TempDir(), "evening.wav")
	s := startJACK(t, longPeriodFrames)
	player := s.play(project, "--record", out)
	s.send(midiIn, sweptChord(heldSec))
	heard := s.record(heldSec+2, append(outputs, "jacksend:click")...).finished()
	report := player.interrupt()
	if want := []string{out, strings.TrimSuffix(out, ".wav") + ".mid"}; !slices.Equal(report.Recordings, want) ||
		report.Dropped > 0 {
		t.Errorf("recordings %q, want %q; %d frames dropped", report.Recordings, want, report.Dropped)
	}

	again := filepath.Join(t.TempDir(), "again.wav")
	if code := launch(t, s.env, "", "lapstrake", "render", project, report.Recordings[1], "-o", again, "--format",
		"float").wait(); code != exitDone {
		t.Fatalf("rendering the performance: exit code %d", code)
	}
	want, got := readRecording(t, again), readRecording(t, out)
	for c := range 2 {
		// silence to the end of the others
		full := append(want.channels[c], make([]float64, len(heard.channels[c]))...)
		requireSame(t, "the recording", got.channels[c], full[:len(got.channels[c])])
		requireHeard(t, s, heard.channels[c], full)
	}
}

// sweptChord holds four keys and moves the dynamics up and down twelve times a minute, fifty steps a second.
func sweptChord(heldSec int) []engine.Event {
	keys := []byte{48, 55, 64, 71}
	events := presses(int64(seconds(0.5)), 100, keys...)
	for step := 1; step < 50*heldSec; step++ {
		value := 63.5 + 63.5*math.Sin(2*math.Pi*float64(step)/250)
		events = append(events, engine.Control(int64(seconds(0.5+float64(step)/50)), 0, 1, byte(math.Round(value))))
	}
	return append(events, presses(int64(seconds(0.5+float64(heldSec))), 0, keys...)...)
}

// requireSame wants two sounds to differ by less than −80 dB, relative to full scale and to the sound.
func requireSame(t *attempt, what string, got, want []float64) {
	t.Helper()
	off := testsound.AmplitudeDB(testsound.RMS(difference(got, want)))
	relative := off - testsound.AmplitudeDB(testsound.RMS(want))
	t.Logf("%s against the rendered performance: %.1f dBFS, %.1f dB of the sound", what, off, relative)
	if !(max(off, relative) < -80) {
		t.Errorf("%s: differs from the rendered performance by %.1f dBFS, %.1f dB of the sound, want less than −80",
			what, off, relative)
	}
}

// requireHeard compares what came out with the rendered performance, second by second, once the start's fade is over.
// Each second has to be the same and follow the one before; as often as the server saw a client come late, one may be
// cut and those after it moved.
func requireHeard(t *attempt, s *jackServer, heard, want []float64) {
	t.Helper()
	const fadeSec, pieceSec, reachSec = 4.0, 1.0, 0.2
	cut, worst := 0, 0.0
	lag := onsets(heard, 1e-5, seconds(0.1))[0] - onsets(want, 1e-4, seconds(0.1))[0]
	left := func(piece []float64, from int) float64 {
		off, _ := fit(want, piece, from-lag, 0)
		return off / testsound.RMS(piece)
	}
	const most = 1e-4 // −80 dB
	for from := seconds(fadeSec); from+seconds(pieceSec) <= len(heard); from += seconds(pieceSec) {
		piece := heard[from : from+seconds(pieceSec)]
		end := from + len(piece) - seconds(0.1)
		if left(piece, from) > most {
			_, place := fit(want, heard[end:from+len(piece)], end-lag, seconds(reachSec))
			lag = end - place
		}
		if off := left(piece, from); off > most {
			cut++
		} else if off > worst {
			worst = off
		}
	}
	t.Logf("JACK's own recording against the rendered performance: %.1f dB of the sound; %d seconds of it cut; a "+
		"client was late %d times", testsound.AmplitudeDB(worst), cut, s.late())
	if cut > s.late() {
		t.Errorf("%d seconds of JACK's own recording differ from the rendered performance; a client was late %d times",
			cut, s.late())
	}
	if worst == 0 {
		t.Errorf("nothing of JACK's own recording is the rendered performance")
	}
}

// fit finds where in x a piece fits best, reach frames or less from about: the RMS of what is left, and the place.
func fit(x, piece []float64, about, reach int) (left float64, place int) {
	left = math.Inf(1)
	for from := max(about-reach, 0); from <= min(about+reach, len(x)-len(piece)); from++ {
		if off := testsound.RMS(difference(piece, x[from:from+len(piece)])); off < left {
			left, place = off, from
		}
	}
	return left, place
}

// Whatever signal ends the player, and however soon a second one follows, both files are whole and agree; killed
// without warning, they hold all but the last second.
func TestPlayLeavesWholeFiles(t *testing.T) {
	env := withoutJACK(t)
	project := toneProject(t, 48, 84, 3, nil)
	none := time.Duration(-1)
	for _, c := range []struct {
		first, second syscall.Signal
		after         time.Duration
	}{
		{syscall.SIGHUP, 0, none}, {syscall.SIGTERM, 0, none}, {syscall.SIGHUP, syscall.SIGHUP, 0},
		{syscall.SIGHUP, syscall.SIGHUP, 20 * time.Millisecond},
		{syscall.SIGHUP, syscall.SIGTERM, 50 * time.Millisecond},
		{syscall.SIGINT, syscall.SIGINT, 150 * time.Millisecond}, {syscall.SIGKILL, 0, none},
	} {
		t.Run(fmt.Sprintf("%v %v %v", c.first, c.second, c.after), func(t *testing.T) {
			t.Parallel()
			keys, out := newKeyboard(t), filepath.Join(t.TempDir(), "evening.wav")
			player := launch(t, env, "", "lapstrake", "play", project, "--record", out, "--midi-raw", keys.pipe.Name())
			player.says(`playing on no device`, 0)
			keys.send(presses(0, 100, 60)...)
			player.recordsOn(out, 0)
			keys.send(presses(0, 100, 67)...)
			player.recordsOn(out, 0.5)
			player.signal(c.first)
			if c.after != none {
				time.Sleep(c.after)
				player.command.Process.Signal(c.second) // fails if it has ended by then
			}
			player.wait()
			sound := readRecording(t, out).channels[0]
			score, err := engine.ReadScore(strings.TrimSuffix(out, ".wav")+".mid", testRateHz)
			if err != nil {
				t.Fatal(err)
			}
			if c.first != syscall.SIGKILL && score.Frames != int64(len(sound)) {
				t.Errorf("the performance ends at frame %d, the sound at %d", score.Frames, len(sound))
			}
			var struck []byte
			for _, e := range score.Events {
				if e.Kind() == engine.KindNoteOn && e.Data2 > 0 {
					struck = append(struck, e.Data1)
				}
			}
			if !slices.Equal(struck, []byte{60, 67}) {
				t.Errorf("the performance has the keys %v, want 60 and 67", struck)
			}
		})
	}
}

// Maps that are exchanged, loaded anew and taken back, and strands and ranks that are alone or silent, are part of the
// performance: while its maps and beds are there, it renders to what was recorded, to the last bit. A map that has
// changed since plays throughout, unless the maps as they were are asked for; a bed that has is named.
func TestPlayRecordsItsMaps(t *testing.T) {
	env := withoutJACK(t)
	typed, tty := openPair(t)
	var m *mapping.Map
	first := toneProject(t, 48, 84, 3, func(made *mapping.Map) { m = made })
	second := toneProject(t, 48, 84, 3, func(made *mapping.Map) { made.HeadroomDB, made.OverlapSec = 18, 0.5 })
	out := filepath.Join(t.TempDir(), "evening.wav")
	player := launchOn(t, env, tty, "lapstrake", "play", first, "--against", second, "--json", "--chord", "60,67",
		"--record", out)
	player.recordsOn(out, 1)
	for _, keys := range []string{"e", "1", "e", "u", "\t", "2", "0", "\r", "u", "e", "l"} {
		if keys == "u" {
			m.HeadroomDB++
			said := len(player.notices.String())
			saveMap(t, m, first, nil)
			player.says("reloaded, headroom", said)
		}
		if _, err := io.WriteString(typed, keys); err != nil {
			t.Fatal(err)
		}
		player.recordsOn(out, 0.6)
	}
	report := player.interrupt()
	if report.Misses > 0 || report.Dropped > 0 {
		t.Fatalf("%d late reads, %d frames not recorded: the machine was too busy", report.Misses, report.Dropped)
	}
	score, err := engine.ReadScore(report.Recordings[1], testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	count := map[byte]int{}
	for _, e := range score.Events {
		count[e.Status]++
	}
	if count[engine.KindMap] < 5 || count[engine.KindGoOver] < 5 || count[engine.KindPick] < 3 {
		t.Errorf("%d maps, %d notes that went over and %d choices are in the performance, want more",
			count[engine.KindMap], count[engine.KindGoOver], count[engine.KindPick])
	}
	render := func(words ...string) (notices string, off float64) {
		t.Helper()
		again := filepath.Join(t.TempDir(), "again.wav")
		rendering := launch(t, env, "", append(
			[]string{"lapstrake", "render", first, report.Recordings[1], "-o", again, "--force"}, words...)...)
		if code := rendering.wait(); code != exitDone {
			t.Fatalf("render %v: exit code %d: %s", words, code, &rendering.notices)
		}
		recorded, rendered := readRecording(t, out), readRecording(t, again)
		for c, x := range recorded.channels {
			off = max(off, testsound.RMS(difference(x, rendered.channels[c][:len(x)])))
		}
		return rendering.notices.String(), off
	}
	if notices, off := render(); off > 0 {
		t.Errorf("the recording differs from the rendered performance by %.1f dBFS; it said:\n%s",
			testsound.AmplitudeDB(off), notices)
	}
	saveMap(t, m, first, func(m *mapping.Map) { m.HeadroomDB += 3 })
	if notices, off := render(); off < 1e-3 || !strings.Contains(notices, "is not what it was at the end of the "+
		"performance: the map as it is now plays throughout; --as-played plays the maps") {
		t.Errorf("with another map the rendering is %.1f dBFS off; it said:\n%s", testsound.AmplitudeDB(off), notices)
	}
	if notices, off := render("--as-played"); off > 0 || strings.Contains(notices, "another bed") {
		t.Errorf("with the maps as played it is %.1f dBFS off; it said:\n%s", testsound.AmplitudeDB(off), notices)
	}
	bed := filepath.Join(second, m.Zones[0].Beds[m.Layers[0]][0])
	if err := os.Remove(bed); err != nil { // a link to one that others read
		t.Fatal(err)
	}
	writeTone(t, bed, 333, 0, seconds(3))
	if notices, _ := render("--as-played"); !strings.Contains(notices,
		bed+": not as played: another bed stands there now") {
		t.Errorf("a bed was changed; it said:\n%s", notices)
	}
}
