// The JACK server dies and comes back; the player is told to end: what is played and recorded stays whole.

//go:build linux && cgo

package main

import (
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"

	goaudio "github.com/go-audio/wav"

	"lapstrake/engine"
	"lapstrake/mapping/testsound"
)

// The server is killed under a held chord. The player says so, goes on, and is back when the server is; what was
// played in between is in the recording, at its time.
func TestPlayOutlivesItsServer(t *testing.T) { measuredAlone(t, testPlayOutlivesItsServer) }

func testPlayOutlivesItsServer(t *attempt) {
	project, out := toneProject(t, 48, 84, 3, nil), filepath.Join(t.TempDir(), "storm.wav")
	s, keys := startJACK(t, longPeriodFrames), newKeyboard(t)
	player := s.play(project, "--record", out, "--midi-raw", keys.pipe.Name())
	var sentSec []float64
	began := time.Now()
	press := func(key byte) {
		sentSec = append(sentSec, time.Since(began).Seconds())
		keys.send(engine.NoteOn(0, 0, key, 100))
	}
	press(60)
	player.recordsOn(out, 0)

	said, lost := len(player.notices.String()), time.Now()
	s.kill()
	said = player.says(noticeLost, said)
	t.Logf("the loss was said after %v", time.Since(lost).Round(time.Millisecond))
	press(64)
	player.recordsOn(out, 0)

	s.start()
	player.says(noticeBack, said)
	player.says(noticeInput, said)
	press(67)
	heard := s.record(2, outputs...).finished()
	press(71)
	player.recordsOn(out, 0)
	report := player.interrupt()

	for _, key := range []int{60, 64, 67} {
		if db := levelDB(heard.channels[0][seconds(1):], testsound.KeyHz(key)); db < -60 {
			t.Errorf("after the server came back, key %d sounds at %.0f dBFS", key, db)
		}
	}
	requirePresses(t, report.Recordings[1], sentSec)
	requireWhole(t, out)
	for c, x := range readRecording(t, out).channels {
		if cut := clicks(x, highestToneHz, clickLevel); len(cut) > 0 {
			t.Errorf("channel %d of the recording is cut at frames %v", c, cut)
		}
	}
}

// The server stands still under a chord, as that of a suspended laptop does; the player itself is suspended; the
// server is started again at another rate and at its own. Each time the player is heard again by itself, under its own
// name. Once each, or as often as LAPSTRAKE_FAULTS says.
func TestPlayIsHeardAgain(t *testing.T) { measuredAlone(t, testPlayIsHeardAgain) }

func testPlayIsHeardAgain(t *attempt) {
	times, _ := strconv.Atoi(os.Getenv("LAPSTRAKE_FAULTS"))
	s := startJACK(t, longPeriodFrames)
	player := s.play(toneProject(t, 48, 84, 3, nil), "--chord", "60")
	heard := func(after string) {
		t.Helper()
		x := s.record(2, outputs...).finished().channels[0]
		if db := levelDB(x[len(x)/2:], testsound.KeyHz(60)); !(db > -50) {
			t.Fatalf("after %s the chord has %.0f dBFS; it said:\n%s", after, db, &player.notices)
		}
	}
	player.waitUntil("its outputs", func() bool { return slices.Contains(s.ports(), outputs[1]) })
	for range max(times, 1) {
		said := len(player.notices.String())
		s.signal(syscall.SIGSTOP)
		said = player.says(noticeLost, said)
		time.Sleep(5 * time.Second)
		s.signal(syscall.SIGCONT)
		player.says(noticeInput, said)
		said = player.says(noticeBack, said)
		heard("the server stood still")

		player.signal(syscall.SIGSTOP)
		time.Sleep(2 * time.Second)
		player.signal(syscall.SIGCONT)
		heard("the player stood still")

		for _, rateHz := range []int{44100, testRateHz} {
			s.signal(syscall.SIGTERM)
			s.wait()
			s.rateHz = rateHz
			s.start()
			if rateHz != testRateHz {
				said = player.says("is there, but at 44100 Hz: set it to 48000 Hz", said)
			}
		}
		player.says(noticeBack, said)
		heard("the server came back at its rate")
	}
	player.interrupt()
}

// A server that is started after the player is taken up, and its keyboards with it.
func TestPlayTakesAServerThatAppears(t *testing.T) {
	withoutJACK(t) // leaves it out where the player would find another output
	measured(t, testPlayTakesAServerThatAppears)
}

func testPlayTakesAServerThatAppears(t *attempt) {
	s := newJACK(t, longPeriodFrames)
	player := launch(t, s.env, "", "lapstrake", "play", toneProject(t, 48, 84, 3, nil), "--json", "--chord", "60")
	said := player.says(`playing on no device`, 0)
	s.start()
	player.says(`^system \(JACK\) has appeared and plays now\.$`, said)
	player.says(noticeInput, said)
	x := s.record(2, outputs...).finished().channels[0]
	if db := levelDB(x[len(x)/2:], testsound.KeyHz(60)); !(db > -50) {
		t.Errorf("the chord has %.0f dBFS", db)
	}
	if report := player.interrupt(); report.Device != "system (JACK)" {
		t.Errorf("it reports that %s played", report.Device)
	}
}

// requirePresses wants a recorded performance to hold presses as far apart as they were sent, within a tenth of a
// second: what a busy machine may delay a test by, and much less than what the loss of a device costs.
func requirePresses(t *attempt, path string, sentSec []float64) {
	t.Helper()
	score, err := engine.ReadScore(path, testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	var gotSec []float64
	for _, e := range score.Events {
		if e.Kind() == engine.KindNoteOn && e.Data2 > 0 {
			gotSec = append(gotSec, float64(e.Frame)/testRateHz)
		}
	}
	if len(gotSec) != len(sentSec) {
		t.Fatalf("%s: note-ons at %.3f s, %d were sent", path, gotSec, len(sentSec))
	}
	for i := range gotSec {
		got, want := gotSec[i]-gotSec[0], sentSec[i]-sentSec[0]
		t.Logf("note %d: %.3f s after the first, sent %.3f s after it", i, got, want)
		if math.Abs(got-want) > 0.1 {
			t.Errorf("note %d is recorded %.3f s after the first one, sent %.3f s after it", i, got, want)
		}
	}
}

// requireWhole wants a recording whose header, as another reader than ours understands it, counts all of the sound.
func requireWhole(t *attempt, path string) {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	decoder := goaudio.NewDecoder(file)
	if err := decoder.FwdToPCM(); err != nil {
		t.Fatal(err)
	}
	from, err := file.Seek(0, io.SeekCurrent)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := file.Stat(); err != nil || decoder.PCMLen() == 0 || from+decoder.PCMLen() != info.Size() {
		t.Errorf("%s: the header counts %d bytes of sound from byte %d on, the file has %d bytes", path,
			decoder.PCMLen(), from, info.Size())
	}
}

// Ctrl-C lets the sound fade without a click; the files are whole. A second one ends at once.
func TestPlayFadesOutOnCtrlC(t *testing.T) { measured(t, testPlayFadesOutOnCtrlC) }

func testPlayFadesOutOnCtrlC(t *attempt) {
	project, out := toneProject(t, 48, 84, 3, nil), filepath.Join(t.TempDir(), "evening.wav")
	s, keys := startJACK(t, longPeriodFrames), newKeyboard(t)
	player := s.play(project, "--record", out, "--midi-raw", keys.pipe.Name())
	keys.send(presses(0, 100, 48, 55, 64)...)
	recorder := s.record(4, outputs...)
	recorder.holds(1)
	report := player.interrupt()
	heard := recorder.finished()

	for c, x := range heard.channels {
		loud := onsets(x, 1e-3, 0)
		if len(loud) == 0 {
			t.Fatalf("channel %d: nothing was heard", c)
		}
		if cut := clicks(x[seconds(0.1):], highestToneHz, clickLevel); len(cut) > 0 {
			t.Errorf("channel %d: clicks at frames %v; the sound ends at %d", c, cut, loud[len(loud)-1])
		}
	}
	requireWhole(t, out)
	for c, x := range readRecording(t, out).channels {
		if cut := clicks(x, highestToneHz, clickLevel); len(cut) > 0 || testsound.RMS(x) < 1e-3 {
			t.Errorf("channel %d of the recording, %.0f dBFS: cut at frames %v", c,
				testsound.AmplitudeDB(testsound.RMS(x)), cut)
		}
	}
	if score, err := engine.ReadScore(report.Recordings[1], testRateHz); err != nil || len(score.Events) < 3 {
		t.Errorf("the performance: %v, %v", score.Events, err)
	}

	player = s.play(project)
	player.signal(syscall.SIGINT)
	time.Sleep(50 * time.Millisecond) // it now fades, for some 200 ms
	player.signal(syscall.SIGINT)
	if code := player.wait(); code != exitInterrupted {
		t.Errorf("Ctrl-C twice: it ended with exit code %d, want %d\n%s", code, exitInterrupted, &player.notices)
	}
}

// A recording through the loss of the server and its return is what its performance renders to, to the last bit, with
// --safe too.
func TestPlayRecordsThroughALoss(t *testing.T) { measured(t, testPlayRecordsThroughALoss) }

func testPlayRecordsThroughALoss(t *attempt) {
	project := toneProject(t, 48, 84, 3, nil)
	for _, words := range [][]string{nil, {"--safe"}, {"--safe", "--latency", "300"}} {
		out := filepath.Join(t.TempDir(), "storm.wav")
		s, keys := startJACK(t, longPeriodFrames), newKeyboard(t)
		player := s.play(append([]string{project, "--record", out, "--midi-raw", keys.pipe.Name()}, words...)...)
		keys.send(presses(0, 100, 48, 55, 60, 64, 67, 71, 76, 84)...)
		player.recordsOn(out, 0)
		said := len(player.notices.String())
		s.kill()
		said = player.says(noticeLost, said)
		keys.send(presses(0, 100, 52)...)
		player.recordsOn(out, 0)
		s.start()
		player.says(noticeBack, said)
		player.recordsOn(out, 0.5)
		report := player.interrupt()
		again := filepath.Join(t.TempDir(), "again.wav")
		if code := launch(t, s.env, "", "lapstrake", "render", project, report.Recordings[1], "-o",
			again).wait(); code != exitDone {
			t.Fatalf("rendering the performance: exit code %d", code)
		}
		want, got := readRecording(t, again), readRecording(t, out)
		for c := range 2 {
			full := append(want.channels[c], make([]float64, max(len(got.channels[c])-len(want.channels[c]), 0))...)
			var off []int
			for i, x := range got.channels[c] {
				if x != full[i] {
					off = append(off, i)
				}
			}
			if len(off) > 0 {
				t.Errorf("%v, channel %d: %d of %d frames differ, from %d to %d; %d late reads, %d dropped", words, c,
					len(off), len(full), off[0], off[len(off)-1], report.Misses, report.Dropped)
			}
		}
		s.stop()
	}
}
