//go:build unix

// Package testjack runs JACK servers on the dummy driver for tests, each test process its own.
package testjack

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine/live"
	"lapstrake/mapping/wav"
)

// Server runs servers of one name, which this process and its children use and which no other program knows.
type Server struct {
	t       *testing.T
	name    string
	command *exec.Cmd
}

// New prepares for a server, or leaves the test out where programs of jackd2 are missing, unless
// LAPSTRAKE_JACK=required says that they have to be there.
func New(t *testing.T, programs ...string) *Server {
	t.Helper()
	require(t, programs...)
	// What libjack and ALSA print about what they do not find is no result.
	_, restore, err := live.Quiet()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(restore)
	s := &Server{t: t, name: fmt.Sprintf("test%d", os.Getpid())}
	t.Setenv("JACK_DEFAULT_SERVER", s.name)
	t.Cleanup(s.Kill)
	return s
}

// Start runs a server until Kill, or the end of the test.
func (s *Server) Start(rateHz, periodFrames int) {
	s.t.Helper()
	// The server ends by itself should this process be killed.
	s.command = exec.Command("timeout", "60", "jackd", "-n", s.name, "-R", "-P70", "-d", "dummy",
		"-r", fmt.Sprint(rateHz), "-p", fmt.Sprint(periodFrames))
	if err := s.command.Start(); err != nil {
		s.t.Fatal(err)
	}
	if out, err := s.Run("jack_wait", "-w", "-t", "10"); err != nil {
		s.t.Fatalf("the JACK server does not start: %v: %s", err, out)
	}
}

// Run runs a program on the server to its end.
func (s *Server) Run(name string, args ...string) (string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, name, args...).CombinedOutput()
	return string(out), err
}

// Signal sends the server a signal; timeout, which started it, is not meant.
func (s *Server) Signal(signal syscall.Signal) {
	s.t.Helper()
	if err := exec.Command("pkill", fmt.Sprintf("-%d", signal), "-P",
		fmt.Sprint(s.command.Process.Pid)).Run(); err != nil {
		s.t.Fatal(err)
	}
}

// Kill ends the server; timeout passes the signal on.
func (s *Server) Kill() {
	if s.command != nil {
		s.command.Process.Signal(os.Interrupt)
		s.command.Wait()
		s.command = nil
	}
}

// Record records two ports for some seconds: interleaved stereo.
func (s *Server) Record(seconds int, ports ...string) []float32 {
	s.t.Helper()
	path := filepath.Join(s.t.TempDir(), "out.wav")
	out, err := s.Run("jack_rec", append([]string{"-f", path, "-d", fmt.Sprint(seconds), "-b", "24"}, ports...)...)
	if err != nil {
		s.t.Fatalf("jack_rec: %v: %s", err, out)
	}
	file, err := wav.Open(path)
	if err != nil {
		s.t.Fatal(err)
	}
	defer file.Close()
	frames := make([]float32, 2*file.Info.Frames)
	if err := file.ReadStereo(frames, 0); err != nil {
		s.t.Fatal(err)
	}
	return frames
}

func require(t *testing.T, programs ...string) {
	t.Helper()
	for _, program := range append([]string{"jackd", "jack_wait"}, programs...) {
		if _, err := exec.LookPath(program); err == nil {
			continue
		}
		if os.Getenv("LAPSTRAKE_JACK") == "required" {
			t.Fatalf("no %s: install jackd2", program)
		}
		t.Skipf("no %s: install jackd2 to run this test", program)
	}
	t.Setenv("JACK_NO_AUDIO_RESERVATION", "1")
	t.Setenv("JACK_NO_START_SERVER", "1")
}
