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
	"lapstrake/mapping/wav"
)

// 3,335 messages a minute come in: repeated keys, pedals, all channels, bytes that are no MIDI, floods. The map is
// loaded anew every ten seconds, and the server is killed twice. What came out is what was recorded is what the
// performance renders to; no note stays; memory stays within 5 % after the first sixth: within 15 % where that is
// seconds ago, less than the heads of one map that was not let go. It lasts for 40 s, or for as many minutes as
// LAPSTRAKE_TORTURE says, once then.
func TestPlayEnduresTorture(t *testing.T) {
	minutes, err := strconv.ParseFloat(os.Getenv("LAPSTRAKE_TORTURE"), 64)
	if err == nil {
		measuredTimes(t, 1, func(t *attempt) { testTorture(t, time.Duration(minutes*float64(time.Minute))) })
		return
	}
	measured(t, func(t *attempt) { testTorture(t, 40*time.Second) })
}

func testTorture(t *attempt, length time.Duration) {
	const messagesPerMin, reloadEvery, stepTime = 3335, 10 * time.Second, 20 * time.Millisecond
	var m *mapping.Map
	project := toneProject(t, 48, 84, 3, func(made *mapping.Map) {
		m = made
		m.HeadroomDB, m.Polyphony = 24, 128
	})
	out := filepath.Join(t.TempDir(), "torture.wav")
	s, keys := startJACK(t, longPeriodFrames), newKeyboard(t)
	s.env = append(s.env, "GODEBUG=gctrace=1") // tells the heap
	player := s.play(project, "--record", out, "--midi-raw", keys.pipe.Name())
	captureSec := int(length.Seconds() / 5)
	captures := []jackRecording{s.record(captureSec, outputs...)}

	score := &torture{random: rand.New(rand.NewPCG(2026, 11))}
	memory := memoryCourse{player: player, length: length}
	losses := []time.Duration{length * 3 / 8, length * 5 / 8}
	began, reloads := time.Now(), 0
	for at := time.Duration(0); at < length; at = time.Since(began) {
		keys.bytes(score.upTo(int(at.Minutes() * messagesPerMin)))
		if at > time.Duration(reloads+1)*reloadEvery {
			reloads++
			m.StrandTitles = []string{fmt.Sprint("first ", reloads), "second"}
			saveMap(t, m, project, nil)
		}
		// a capture dies with its server
		if len(losses) > 0 && at > losses[0] && captures[len(captures)-1].hasEnded() {
			losses = losses[1:]
			said := len(player.notices.String())
			s.kill()
			said = player.says(noticeLost, said)
			s.start()
			player.says(noticeBack, said)
			player.waitUntil("its outputs", func() bool { return len(s.ports()) > 1 })
			captures = append(captures, s.record(captureSec, outputs...))
		}
		memory.take(t, at)
		time.Sleep(stepTime)
	}
	keys.bytes(score.end())
	player.recordsOn(out, 2)
	requireSilentEnd(t, out)
	report := player.interrupt()
	t.Logf("%d messages", score.count)
	memory.require(t)
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
	recorded := requireSameSound(t, report.Recordings[0], again)
	for i, capture := range captures {
		heard := capture.finished().channels[0]
		requirePiece(t, s, fmt.Sprintf("capture %d", i+1), heard, recorded)
	}
}

// requireSameSound wants a recording to be the beginning of a rendering that may go on in silence, and returns its
// left side. An hour would need gigabytes, were it all in memory.
func requireSameSound(t *attempt, recorded, rendered string) (left []float32) {
	t.Helper()
	var files [2]*wav.File
	for i, path := range []string{recorded, rendered} {
		file, err := wav.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		files[i] = file
	}
	frames, off, first := files[0].Info.Frames, 0, int64(-1)
	power := 0.0
	for at := int64(0); at < frames; at += testRateHz {
		var blocks [2][]float32
		for i, file := range files {
			blocks[i] = make([]float32, 2*min(testRateHz, frames-at))
			there := 2 * max(min(testRateHz, frames-at, file.Info.Frames-at), 0)
			if err := file.ReadStereo(blocks[i][:there], at); err != nil {
				t.Fatal(err)
			}
		}
		for i, v := range blocks[0] {
			power += float64(v) * float64(v)
			if v != blocks[1][i] {
				off++
				if first < 0 {
					first = at + int64(i/2)
				}
			}
			if i%2 == 0 {
				left = append(left, v)
			}
		}
	}
	level := math.Sqrt(power / float64(2*frames))
	t.Logf("%.1f s of recording, %.1f dBFS", float64(frames)/testRateHz, testsound.AmplitudeDB(level))
	if off > 0 || level < 1e-3 {
		t.Errorf("%d samples of the recording, %.1f dBFS, differ from the rendered performance, the first at frame %d",
			off, testsound.AmplitudeDB(level), first)
	}
	return left
}

// requirePiece wants what was heard, once the output has its level, to be a piece of the recording; as often as a
// client was late, a second of it may be cut.
func requirePiece(t *attempt, s *jackServer, what string, heard []float64, recorded []float32) {
	t.Helper()
	const pieceSec, risingSec, most = 0.5, 4, 1e-4 // −80 dB
	length, pieces, cut, worst, place := seconds(pieceSec), 0, 0, 0.0, -1
	for from := seconds(risingSec); from+length <= len(heard); from += length {
		piece := heard[from : from+length]
		if place < 0 || !(distance(piece, recorded[min(place, len(recorded)):]) < most) {
			place = placeOf(recorded, piece)
		}
		pieces++
		if off := distance(piece, recorded[place:]); off < most {
			worst = max(worst, off)
		} else {
			cut++
		}
		place += length
	}
	t.Logf("%s: %d pieces of %.1f s, the last at %.3f s of the recording, at most %.1f dB off; %d cut, a client was "+
		"late %d times", what, pieces, pieceSec, float64(place)/testRateHz, testsound.AmplitudeDB(worst), cut,
		s.late())
	if pieces == 0 || cut > s.late() {
		t.Errorf("%s: %d of %d pieces are not in the recording; a client was late %d times", what, cut,
			pieces, s.late())
	}
}

// distance is how far x is from the beginning of y, as a part of x.
func distance(x []float64, y []float32) float64 {
	off, all := 0.0, 0.0
	for i, v := range x {
		d := v
		if i < len(y) {
			d -= float64(y[i])
		}
		off, all = off+d*d, all+v*v
	}
	return math.Sqrt(off / max(all, 1e-12))
}

// placeOf finds where a piece of x stands, by a short stretch in its middle.
func placeOf(x []float32, piece []float64) (place int) {
	const stretch = 512
	middle := len(piece) / 2
	least := math.Inf(1)
	for from := middle; from+len(piece)-middle <= len(x); from++ {
		off := 0.0
		for i := 0; i < stretch && off < least; i++ {
			d := float64(x[from+i]) - piece[middle+i]
			off += d * d
		}
		if off < least {
			least, place = off, from-middle
		}
	}
	return place
}

// requireSilentEnd wants the last half second of a recording under way to be silent: all keys and pedals are up.
func requireSilentEnd(t *attempt, path string) {
	t.Helper()
	file, err := wav.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	end := make([]float32, 2*seconds(0.5))
	if err := file.ReadStereo(end, file.Info.Frames-int64(len(end)/2)); err != nil {
		t.Fatal(err)
	}
	for _, v := range end {
		if v != 0 {
			t.Errorf("all keys and pedals are up, and the recording ends with a sample of %v", v)
			return
		}
	}
}

// memoryCourse is how much memory a program had, in bytes: at most between the first sixth of a time and the middle
// between both losses, and after that.
type memoryCourse struct {
	player      *process
	length      time.Duration
	early, late int64
	told        time.Duration
}

func (m *memoryCourse) take(t *attempt, at time.Duration) {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", m.player.command.Process.Pid))
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`VmRSS:\s+(\d+) kB`).FindSubmatch(status)
	if found == nil {
		t.Fatalf("no memory in %s", status)
	}
	kilobytes, _ := strconv.ParseInt(string(found[1]), 10, 64)
	if now := kilobytes << 10; at > m.length*7/12 {
		m.late = max(m.late, now)
	} else if at > m.length/6 {
		m.early = max(m.early, now)
	}
	if at < m.told {
		return
	}
	m.told += time.Minute
	heaps := regexp.MustCompile(`(?m)^gc .*?(\d+) MB, `).FindAllStringSubmatch(m.player.notices.String(), -1)
	for _, heap := range heaps[max(len(heaps)-1, 0):] {
		t.Logf("minute %.0f: %d MB, %s MB of them live on the heap", at.Minutes(), kilobytes>>10, heap[1])
	}
}

// require wants memory to have stayed what it was.
func (m *memoryCourse) require(t *attempt) {
	t.Helper()
	t.Logf("memory at most %d MB, later %d MB", m.early>>20, m.late>>20)
	growth := 1.15
	if m.length >= 10*time.Minute {
		growth = 1.05
	}
	if float64(m.late) > growth*float64(m.early) {
		t.Errorf("memory grew from %d MB to %d MB", m.early>>20, m.late>>20)
	}
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
