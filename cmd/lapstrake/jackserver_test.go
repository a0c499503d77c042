// A JACK server for one test, with no sound hardware behind it, and the programs that send and record through it.

//go:build linux && cgo

package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine"
)

// jackServer runs under a name of its own, so that it meets no other server of the machine.
type jackServer struct {
	*process
	test         testing.TB
	name         string
	env          []string // of programs that are to find it
	rateHz       int
	periodFrames int
	dir          string
}

// The period of tests that do not ask how soon: with 21 ms a busy machine does not cut the sound.
const longPeriodFrames = 1024

// requireJACK leaves a test out where the programs it needs are missing, unless LAPSTRAKE_JACK=required says that they
// have to be there.
func requireJACK(t testing.TB) {
	t.Helper()
	requireTools(t, "LAPSTRAKE_JACK", "jackd2, libjack-jackd2-dev and gcc", "jack/jack.h", "jackd", "jack_wait",
		"jack_lsp", "jack_rec", "gcc")
}

// startJACK starts a server at the tests' rate.
func startJACK(t testing.TB, periodFrames int) *jackServer {
	t.Helper()
	s := newJACK(t, periodFrames)
	s.start()
	return s
}

// newJACK is a server that does not run yet.
func newJACK(t testing.TB, periodFrames int) *jackServer {
	t.Helper()
	s := &jackServer{test: t, rateHz: testRateHz, periodFrames: periodFrames, dir: t.TempDir()}
	s.name = fmt.Sprintf("lapstrake-%d-%d", os.Getpid(), time.Now().UnixNano())
	s.env = append(os.Environ(), "JACK_DEFAULT_SERVER="+s.name, "JACK_NO_START_SERVER=1",
		"JACK_NO_AUDIO_RESERVATION=1")
	return s
}

// start starts the server, in real time where the machine allows it.
func (s *jackServer) start() {
	s.test.Helper()
	for _, scheduling := range []string{"-R", "-r"} {
		s.process = launch(s.test, s.env, "", "jackd", "-n", s.name, scheduling, "-P70",
			"-d", "dummy", "-r", strconv.Itoa(s.rateHz), "-p", strconv.Itoa(s.periodFrames))
		if launch(s.test, s.env, "", "jack_wait", "-w", "-t", "10").wait() == 0 && !s.hasEnded() {
			s.test.Cleanup(s.stop) // runs before the one that kills
			return
		}
		s.stop()
	}
	s.test.Fatalf("jackd does not run; where it finds too many servers and none runs, remove "+
		"/dev/shm/jack-shm-registry:\n%s%s", &s.out, &s.notices)
}

// stop lets the server take away what it has in shared memory, and takes away what it left when it was killed.
func (s *jackServer) stop() {
	// A server that is told to end while it has yet to find out that a client has died may die of that.
	for began := time.Now(); len(s.ports()) > 0 && time.Since(began) < 3*time.Second; {
		time.Sleep(50 * time.Millisecond)
	}
	if !s.hasEnded() {
		s.signal(syscall.SIGTERM)
		s.wait()
	}
	left, err := filepath.Glob("/dev/shm/jack*" + s.name + "*")
	if err != nil {
		s.test.Fatal(err)
	}
	for _, path := range left {
		os.Remove(path) // a client may have done so meanwhile
	}
}

// ports lists the ports of programs, not those of the server itself.
func (s *jackServer) ports() []string {
	soon, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	list := exec.CommandContext(soon, "jack_lsp")
	list.Env = s.env
	out, err := list.Output()
	if err != nil {
		return nil // the server has gone or does not answer
	}
	return slices.DeleteFunc(strings.Fields(string(out)),
		func(port string) bool { return strings.HasPrefix(port, "system:") })
}

// waitForPort waits until a program has a port.
func (s *jackServer) waitForPort(of *process, port string) {
	s.test.Helper()
	of.waitUntil("the JACK port "+port, func() bool { return slices.Contains(s.ports(), port) })
}

// sentMessage is one MIDI message, whole, and when it is sent.
type sentMessage struct {
	frame int64
	bytes []byte
}

// send makes a program that sends events to a port, as sendMessages does.
func (s *jackServer) send(to string, events []engine.Event) *process {
	s.test.Helper()
	var messages []sentMessage
	for _, e := range events {
		messages = append(messages, sentMessage{e.Frame, []byte{e.Status, e.Data1, e.Data2}[:1+e.DataBytes()]})
	}
	return s.sendMessages(to, messages)
}

// sendMessages makes a program that sends messages to a port; it begins once its own port jacksend:click is connected,
// too. There it gives a click of one frame at the frame of each note-on.
func (s *jackServer) sendMessages(to string, messages []sentMessage) *process {
	s.test.Helper()
	var lines strings.Builder
	for _, m := range messages {
		fmt.Fprintln(&lines, m.frame, len(m.bytes), strings.Trim(fmt.Sprint(m.bytes), "[]"))
	}
	sender := launch(s.test, s.env, lines.String(), builtFromC(s.test, "jacksend.c", "jack"), to)
	sender.says("^connected$", 0)
	return sender
}

// jackRecording is a recording by JACK's own recorder that is being made.
type jackRecording struct {
	*process
	path     string
	channels int
	length   time.Duration
}

func (s *jackServer) record(seconds int, ports ...string) jackRecording {
	s.test.Helper()
	path := filepath.Join(s.dir, fmt.Sprintf("recording-%d.wav", time.Now().UnixNano()))
	const bufferFrames = "1048576" // no pause of the disk makes it lose sound
	return jackRecording{launch(s.test, s.env, "", append([]string{"jack_rec", "-f", path, "-d", strconv.Itoa(seconds),
		"-b", "24", "-B", bufferFrames}, ports...)...), path, len(ports), time.Duration(seconds) * time.Second}
}

// holds waits until the recording holds so many seconds: a time by the server's own clock.
func (r jackRecording) holds(sec float64) {
	r.Helper()
	const headerBytes, sampleBytes = 44, 3
	r.waitUntil(fmt.Sprintf("%.1f s of sound in %s", sec, r.path), func() bool {
		return fileBytes(r.path) >= int64(headerBytes+seconds(sec)*r.channels*sampleBytes)
	})
}

// finished waits for the end of the recording.
func (r jackRecording) finished() recording {
	r.Helper()
	select { // beyond its length it has the patience that all programs have
	case <-r.ended:
	case <-time.After(r.length):
	}
	if code := r.wait(); code != 0 {
		r.Fatalf("jack_rec: exit code %d:\n%s%s", code, &r.out, &r.notices)
	}
	return readRecording(r, r.path)
}

// late counts the periods in which a client of the server was not finished: what machine and program did together.
// When the server itself is late it says so too, but no sound is lost by that.
func (s *jackServer) late() int {
	return strings.Count(s.out.String()+s.notices.String(), "was not finished")
}
