// The torture score: what no pianist plays, for as long as nobody would listen.

//go:build linux && cgo

package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// 3,335 messages a minute come in: repeated keys, pedals, all channels, bytes that are no MIDI, floods. The map is
// loaded anew every ten seconds, and the server is killed twice. What came out is what was recorded is what the
// performance renders to; no note stays; memory stays within 5 % after the first sixth: within 15 % where that is
// seconds ago, less than the heads of one map that was not let go. It lasts for 40 s, or for as many minutes as
// LAPSTRAKE_TORTURE says.
func TestPlayEnduresTorture(t *testing.T) { measured(t, testPlayEnduresTorture) }

func testPlayEnduresTorture(t *attempt) {
	const messagesPerMin, reloadEvery, stepTime = 3335, 10 * time.Second, 20 * time.Millisecond
	length := 40 * time.Second
	if minutes, err := strconv.ParseFloat(os.Getenv("LAPSTRAKE_TORTURE"), 64); err == nil {
		length = time.Duration(minutes * float64(time.Minute))
	}
	var m *mapping.Map
	project := toneProject(t, 48, 84, 3, func(made *mapping.Map) {
		m = made
		m.HeadroomDB, m.Polyphony = 24, 128
	})
	out := filepath.Join(t.TempDir(), "torture.wav")
	s, keys := startJACK(t, longPeriodFrames), newKeyboard(t)
	player := s.play(project, "--record", out, "--midi-raw", keys.pipe.Name())
	capture := s.record(int(length.Seconds()/4), outputs...)

	score := &torture{random: rand.New(rand.NewPCG(2026, 11))}
	var early, late memoryPeak
	var captures []jackRecording
	losses := []time.Duration{length * 3 / 8, length * 5 / 8}
	began, reloads, said := time.Now(), 0, 0
	for at := time.Duration(0); at < length; at = time.Since(began) {
		keys.bytes(score.upTo(int(at.Minutes() * messagesPerMin)))
		if at > time.Duration(reloads+1)*reloadEvery {
			reloads++
			m.StrandTitles = []string{fmt.Sprint("first ", reloads), "second"}
			saveMap(t, m, project, nil)
		}
		if len(losses) > 0 && at > losses[0] {
			losses = losses[1:]
			if len(captures) == 0 {
				captures = append(captures, capture)
			}
			said = len(player.notices.String())
			s.kill()
			said = player.says(noticeLost, said)
			s.start()
			player.says(noticeBack, said)
			player.waitUntil("its outputs", func() bool { return len(s.ports()) > 1 })
			captures = append(captures, s.record(4, outputs...))
		}
		if at > length/6 && at < length*7/12 {
			early.take(t, player)
		} else if at > length/6 {
			late.take(t, player)
		}
		time.Sleep(stepTime)
	}
	keys.bytes(score.end())
	player.recordsOn(out, 2)
	requireSilentEnd(t, out)
	report := player.interrupt()
	t.Logf("%d messages, memory at most %d MB, later %d MB", score.count, early>>20, late>>20)
	growth := 1.15
	if length >= 10*time.Minute {
		growth = 1.05
	}
	if float64(late) > growth*float64(early) {
		t.Errorf("memory grew from %d MB to %d MB", early>>20, late>>20)
	}
	if report.Dropped > 0 || report.Misses > 0 || report.Reloads < int64(reloads)-1 {
		t.Errorf("%d frames not recorded, %d late reads, %d of %d reloads", report.Dropped, report.Misses,
			report.Reloads, reloads)
	}
	requireRendered(t, s, project, report, captures)
}

// requireRendered wants the recording to be what the performance renders to, to the last bit, and every capture to be
// a piece of it.
func requireRendered(t *attempt, s *jackServer, project string, report playReport, captures []jackRecording) {
	t.Helper()
	again := filepath.Join(t.TempDir(), "again.wav")
	rendering := launch(t, s.env, "", "lapstrake", "render", project, report.Recordings[1], "-o", again)
	<-rendering.ended // an hour takes minutes
	if code := rendering.wait(); code != exitDone {
		t.Fatalf("rendering the performance: exit code %d", code)
	}
	recorded, rendered := readRecording(t, report.Recordings[0]), readRecording(t, again)
	for c := range 2 {
		got, want := recorded.channels[c], rendered.channels[c]
		want = append(want, make([]float64, max(len(got)-len(want), 0))...)[:len(got)]
		if off := testsound.RMS(difference(got, want)); off > 0 || testsound.RMS(got) < 1e-3 {
			t.Errorf("channel %d of the recording, %.1f dBFS, differs from the rendered performance by %.1f dBFS", c,
				testsound.AmplitudeDB(testsound.RMS(got)), testsound.AmplitudeDB(off))
		}
	}
	for i, capture := range captures {
		heard := capture.finished().channels[0]
		requirePiece(t, s, fmt.Sprintf("capture %d", i+1), heard, recorded.channels[0])
	}
}

// requirePiece wants the last two seconds of what was heard, in which the output has its level, to be a piece of the
// recording; as often as a client was late, a second of it may be cut.
func requirePiece(t *attempt, s *jackServer, what string, heard, recorded []float64) {
	t.Helper()
	const pieceSec, most = 0.5, 1e-4 // −80 dB
	cut := 0
	for from := len(heard) - seconds(2); from+seconds(pieceSec) <= len(heard); from += seconds(pieceSec) {
		piece := heard[from : from+seconds(pieceSec)]
		place := placeOf(recorded, piece)
		off := testsound.RMS(difference(piece, recorded[place:place+len(piece)])) / testsound.RMS(piece)
		t.Logf("%s: %.1f s of it stands at %.3f s of the recording, %.1f dB off", what, pieceSec,
			float64(place)/testRateHz, testsound.AmplitudeDB(off))
		if !(off < most) {
			cut++
		}
	}
	if cut > s.late() {
		t.Errorf("%s: %d pieces are not in the recording; a client was late %d times", what, cut, s.late())
	}
}

// placeOf finds where a piece of x stands, by a short stretch in its middle.
func placeOf(x, piece []float64) (place int) {
	const stretch = 512
	middle := len(piece) / 2
	least := math.Inf(1)
	for from := middle; from+len(piece)-middle <= len(x); from++ {
		off := 0.0
		for i := 0; i < stretch && off < least; i++ {
			d := x[from+i] - piece[middle+i]
			off += d * d
		}
		if off < least {
			least, place = off, from-middle
		}
	}
	return place
}

// requireSilentEnd wants the last second of a recording under way to be silent: all keys and pedals are up.
func requireSilentEnd(t *attempt, path string) {
	t.Helper()
	x := readRecording(t, path).channels[0]
	if level := testsound.RMS(x[len(x)-seconds(0.5):]); level > 0 {
		t.Errorf("all keys and pedals are up, and the recording ends with %.1f dBFS", testsound.AmplitudeDB(level))
	}
}

// memoryPeak is the most memory that a program had, in bytes.
type memoryPeak int64

func (p *memoryPeak) take(t *attempt, of *process) {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", of.command.Process.Pid))
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`VmRSS:\s+(\d+) kB`).FindSubmatch(status)
	if found == nil {
		t.Fatalf("no memory in %s", status)
	}
	kilobytes, _ := strconv.ParseInt(string(found[1]), 10, 64)
	*p = max(*p, memoryPeak(kilobytes<<10))
}

// bytes sends bytes as they are.
func (k *keyboard) bytes(data []byte) {
	k.Helper()
	if _, err := k.pipe.Write(data); err != nil && err != syscall.EAGAIN {
		k.Fatal(err)
	}
}

// torture makes a score that nobody plays, always the same one.
type torture struct {
	random *rand.Rand
	count  int // of messages so far
}

const floodMessages, floodEvery = 60, 300

// upTo gives the bytes of what is to come until so many messages are out; floods come at once.
func (s *torture) upTo(count int) []byte {
	var all bytes.Buffer
	for s.count < count {
		if s.count%floodEvery == 0 {
			for range floodMessages {
				all.Write(s.message())
			}
		}
		all.Write(s.message())
	}
	return all.Bytes()
}

// message is one message, now and then with bytes before it or within that are none.
func (s *torture) message() []byte {
	s.count++
	channel := byte(s.random.IntN(16))
	key, value := byte(48+s.random.IntN(37)), byte(s.random.IntN(128))
	switch s.random.IntN(20) {
	case 0, 1:
		return []byte{engine.KindControl | channel,
			[]byte{engine.ControlHold, engine.ControlSostenuto}[s.random.IntN(2)], value}
	case 2, 3:
		return []byte{engine.KindControl | channel, 1, value}
	case 4:
		return []byte{engine.KindControl | channel, []byte{7, 11}[s.random.IntN(2)], value | 64}
	case 5:
		return []byte{engine.KindBend | channel, value, value}
	case 6:
		return []byte{engine.KindControl | channel,
			[]byte{engine.ControlReset, engine.ControlNotesOff}[s.random.IntN(2)], 0}
	case 7: // a clock within a message (MIDI 1.0: system real time may stand anywhere)
		return []byte{engine.KindNoteOn | channel, key, 0xF8, value}
	case 8: // an exclusive message that never ends, data without a status, a message cut short
		return append([][]byte{{0xF0, 1, 2, 3}, {value, value, value},
			{engine.KindNoteOn | channel, key}}[s.random.IntN(3)], engine.KindNoteOff|channel, key, 64)
	case 9: // a key again and again
		return bytes.Repeat([]byte{engine.KindNoteOn | channel, 60, 90}, 2)
	case 10, 11, 12, 13, 14:
		return []byte{engine.KindNoteOff | channel, key, 64}
	}
	return []byte{engine.KindNoteOn | channel, key, value}
}

// end lifts all pedals and all keys of all channels, each by itself.
func (s *torture) end() []byte {
	var all []byte
	for channel := range byte(16) {
		all = append(all, engine.KindControl|channel, engine.ControlHold, 0, engine.KindControl|channel,
			engine.ControlSostenuto, 0)
		for key := range byte(128) {
			all = append(all, engine.KindNoteOff|channel, key, 64)
		}
	}
	return all
}
