//go:build cgo && unix

// The JACK output on a real server with a dummy driver, where jackd and jack_rec are installed.

package live

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"lapstrake/mapping/wav"
)

// jackServer runs servers of one name, which this process and its children use and which no other program knows.
type jackServer struct {
	t       *testing.T
	name    string
	command *exec.Cmd
}

func newJACKServer(t *testing.T) *jackServer {
	// What libjack and ALSA print about what they do not find is no result.
	_, restore, err := Quiet()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(restore)
	s := &jackServer{t: t, name: fmt.Sprintf("live%d", os.Getpid())}
	t.Setenv("JACK_DEFAULT_SERVER", s.name)
	t.Cleanup(s.kill)
	return s
}

// start runs a server until kill, or the end of the test.
func (s *jackServer) start(rateHz, periodFrames int) {
	s.t.Helper()
	// The server ends by itself should this process be killed.
	s.command = exec.Command("timeout", "60", "jackd", "-n", s.name, "-R", "-P70", "-d", "dummy",
		"-r", fmt.Sprint(rateHz), "-p", fmt.Sprint(periodFrames))
	if err := s.command.Start(); err != nil {
		s.t.Fatal(err)
	}
	if out, err := s.run("jack_wait", "-w", "-t", "10"); err != nil {
		s.t.Fatalf("the JACK server does not start: %v: %s", err, out)
	}
}

func (s *jackServer) run(name string, args ...string) (string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, name, args...).CombinedOutput()
	return string(out), err
}

// kill ends the server; timeout passes the signal on.
func (s *jackServer) kill() {
	if s.command != nil {
		s.command.Process.Signal(os.Interrupt)
		s.command.Wait()
		s.command = nil
	}
}

// record records what lapstrake's client sends for some seconds: interleaved stereo.
func (s *jackServer) record(seconds int) []float32 {
	s.t.Helper()
	path := filepath.Join(s.t.TempDir(), "out.wav")
	out, err := s.run("jack_rec", "-f", path, "-d", fmt.Sprint(seconds), "-b", "24", jackClient+":out_1", jackClient+":out_2")
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

const toneHz, tonePeak = 440, 0.5

// tone renders a sine, on the right with the sign turned.
type tone struct {
	rateHz int
	frame  int64
	frames atomic.Int64 // so far
}

func (s *tone) render(out []float32) {
	for i := 0; i < len(out); i += 2 {
		v := float32(tonePeak * math.Sin(2*math.Pi*toneHz/float64(s.rateHz)*float64(s.frame)))
		out[i], out[i+1] = v, -v
		s.frame++
	}
	s.frames.Store(s.frame)
}

// checkTone wants a recording to be the tone and nothing else. A sine fulfils x(n) = 2 cos(ω) x(n-1) − x(n-2) at every
// frame, so each gap and each jump shows. The machine may be busy, so some are let pass.
func checkTone(t *testing.T, frames []float32, rateHz int) {
	t.Helper()
	turn := 2 * math.Cos(2*math.Pi*toneHz/float64(rateHz))
	jumps, peak := 0, 0.0
	last := math.MinInt
	for i := 4; i < len(frames); i += 2 {
		x, y, z := float64(frames[i]), float64(frames[i-2]), float64(frames[i-4])
		if math.Abs(x-turn*y+z) > 1e-5 && i-last > 1000 {
			jumps++
			last = i
		}
		if frames[i] != -frames[i+1] {
			t.Fatalf("frame %d: left %g, right %g: the channels are mixed up", i/2, frames[i], frames[i+1])
		}
		peak = max(peak, math.Abs(x))
	}
	if math.Abs(peak-tonePeak) > 0.001 {
		t.Errorf("the recorded peak is %g, want %g", peak, tonePeak)
	}
	if jumps > 5 {
		t.Errorf("the tone is broken %d times in %d frames", jumps, len(frames)/2)
	}
}

// eventually waits until something has come about.
func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for range 1000 {
		if is() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatalf("%s has not come about", what)
}

// A period of any length is played whole, on the right sides, without an allocation.
func TestJACKPeriod(t *testing.T) {
	source := &tone{rateHz: 48000}
	s := &jackStream{render: source.render, block: make([]float32, 2*largestJACKPeriod)}
	for _, period := range []int{1, 64, largestJACKPeriod, 2*largestJACKPeriod + 3} {
		source.frame = 0
		left, right := make([]float32, period), make([]float32, period)
		s.play(left, right)
		want := make([]float32, 2*period)
		(&tone{rateHz: 48000}).render(want)
		for i := range period {
			if left[i] != want[2*i] || right[i] != want[2*i+1] {
				t.Fatalf("period of %d frames: frame %d is %g, %g; want %g, %g", period, i, left[i], right[i], want[2*i], want[2*i+1])
			}
		}
		if n := testing.AllocsPerRun(10, func() { s.play(left, right) }); n != 0 {
			t.Errorf("period of %d frames: %g allocations", period, n)
		}
	}
}

func TestJACKPlays(t *testing.T) {
	requireJACK(t, "jack_rec")
	server := newJACKServer(t)
	server.start(48000, 256)
	for _, safe := range []bool{false, true} {
		t.Run(fmt.Sprintf("safe=%v", safe), func(t *testing.T) {
			source := &tone{rateHz: 48000}
			output, err := OpenOutput(OutputSettings{Device: "system", RateHz: 48000, BlockFrames: 256, Safe: safe}, source.render)
			if err != nil {
				t.Fatal(err)
			}
			if output.Device.Host != jackHost || output.RateHz != 48000 || output.BlockFrames != 256 || output.Latency <= 0 {
				t.Errorf("it runs as %+v", output)
			}
			if safe && output.Latency < safeLatency {
				t.Errorf("the safe latency is %v, want %v at least", output.Latency, safeLatency)
			}
			checkTone(t, server.record(2), 48000)
			if output.Calls() == 0 {
				t.Error("no calls were counted")
			}
			if err := output.Close(); err != nil {
				t.Error(err)
			}
			after := source.frames.Load()
			time.Sleep(50 * time.Millisecond)
			if source.frames.Load() != after {
				t.Error("render is called after Close")
			}
		})
	}
}

func TestJACKHasOneRate(t *testing.T) {
	requireJACK(t, "jack_rec")
	newJACKServer(t).start(48000, 256)
	_, err := OpenOutput(OutputSettings{RateHz: 44100}, func([]float32) {})
	wrongRate := (*RateError)(nil)
	if !errors.As(err, &wrongRate) || wrongRate.DeviceHz != 48000 || wrongRate.WantHz != 44100 {
		t.Errorf("at 44100 Hz on a server of 48000 Hz: %v", err)
	}
}

// The server dies without a word, and is started again: sound comes back in the same process, and the frames in
// between have been rendered.
func TestJACKComesBack(t *testing.T) {
	requireJACK(t, "jack_rec")
	server := newJACKServer(t)
	server.start(48000, 256)
	source := &tone{rateHz: 48000}
	var said []string
	k, err := Keep(OutputSettings{RateHz: 48000, BlockFrames: 256}, source.render, func(sentence string) { said = append(said, sentence) })
	if err != nil {
		t.Fatal(err)
	}
	checkTone(t, server.record(1), 48000)

	server.kill()
	eventually(t, "the loss", func() bool { _, lost := k.Output(); return lost })
	before := source.frames.Load()
	eventually(t, "rendering by the clock", func() bool { return source.frames.Load() > before+24000 })

	server.start(48000, 256)
	eventually(t, "finding the server again", func() bool { _, lost := k.Output(); return !lost })
	checkTone(t, server.record(1), 48000)
	if err := k.Close(); err != nil {
		t.Error(err)
	}
	if len(said) != 2 {
		t.Errorf("said %q, want of the loss and of the return", said)
	}
}

// While a client of a server that has gone is held, as the MIDI input's may be, no new one is opened: the library
// would free the old one, and its owner's next call would crash.
func TestJACKWaitsForDeadClients(t *testing.T) {
	requireJACK(t, "jack_rec")
	server := newJACKServer(t)
	server.start(48000, 256)
	other := &tone{rateHz: 48000}
	held, err := OpenOutput(OutputSettings{Device: "system", RateHz: 48000}, other.render)
	if err != nil {
		t.Fatal(err)
	}
	server.kill()
	calls := int64(-1)
	eventually(t, "silence", func() bool {
		before := calls
		calls = held.Calls()
		time.Sleep(100 * time.Millisecond)
		return calls == before
	})
	server.start(48000, 256)
	if client := openJACKClient(); client != nil {
		t.Error("a client was opened while a dead one is held")
		closeJACKClient(client)
	}
	if err := held.Close(); err != nil {
		t.Error(err)
	}
	client := openJACKClient()
	if client == nil {
		t.Fatal("no client can be opened after the dead one was closed")
	}
	closeJACKClient(client)
}
