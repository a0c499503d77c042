//go:build cgo && unix

// The JACK output on a real server with a dummy driver, where jackd and jack_rec are installed.

package output

import (
	"errors"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"lapstrake/engine/live/jack"
	"lapstrake/engine/live/testjack"
)

// outputs are ours, as JACK calls them.
var outputs = []string{jack.ClientName + ":out_1", jack.ClientName + ":out_2"}

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

// requireTone wants a recording of some seconds to be the tone and nothing else. On a busy machine the recorder itself
// may lose frames, so the best of three recordings counts.
func requireTone(t *testing.T, server *testjack.Server, sec int) {
	t.Helper()
	const times = 3
	for i := range times {
		wrong := wrongInTone(server.Record(sec, outputs...), 48000)
		if wrong == "" {
			return
		}
		t.Logf("recording %d: %s", i+1, wrong)
		if i == times-1 {
			t.Fatal("no recording is the tone and nothing else")
		}
	}
}

// wrongInTone says what in a recording is not the tone; "" if nothing is. A sine fulfils x(n) = 2 cos(ω) x(n-1) −
// x(n-2) at every frame, so each gap and each jump shows. The machine may be busy, so some are let pass.
func wrongInTone(frames []float32, rateHz int) string {
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
			return fmt.Sprintf("frame %d: left %g, right %g: the channels are mixed up", i/2, frames[i], frames[i+1])
		}
		peak = max(peak, math.Abs(x))
	}
	switch {
	case math.Abs(peak-tonePeak) > 0.001:
		return fmt.Sprintf("the recorded peak is %g, want %g", peak, tonePeak)
	case jumps > 5:
		return fmt.Sprintf("the tone is broken %d times in %d frames", jumps, len(frames)/2)
	}
	return ""
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

func TestJACKPlays(t *testing.T) {
	server := testjack.New(t, "jack_rec")
	server.Start(48000, 256)
	for _, safe := range []bool{false, true} {
		t.Run(fmt.Sprintf("safe=%v", safe), func(t *testing.T) {
			source := &tone{rateHz: 48000}
			output, err := Open(Settings{Device: "system", RateHz: 48000, BlockFrames: 256, Safe: safe}, source.render)
			if err != nil {
				t.Fatal(err)
			}
			defer output.Close()
			if output.Device.Host != jackHost || output.RateHz != 48000 || output.BlockFrames != 256 ||
				output.Latency <= 0 {
				t.Errorf("it runs as %+v", output)
			}
			if safe && output.Latency < safeLatency {
				t.Errorf("the safe latency is %v, want %v at least", output.Latency, safeLatency)
			}
			requireTone(t, server, 2)
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
	testjack.New(t, "jack_rec").Start(48000, 256)
	_, err := Open(Settings{RateHz: 44100}, func([]float32) {})
	wrongRate := (*RateError)(nil)
	if !errors.As(err, &wrongRate) || wrongRate.DeviceHz != 48000 || wrongRate.WantHz != 44100 {
		t.Errorf("at 44100 Hz on a server of 48000 Hz: %v", err)
	}
}

// The server dies without a word, and is started again: sound comes back in the same process, and the frames in
// between have been rendered.
func TestJACKComesBack(t *testing.T) {
	server := testjack.New(t, "jack_rec")
	server.Start(48000, 256)
	source := &tone{rateHz: 48000}
	var said []string
	k, err := Keep(Settings{RateHz: 48000, BlockFrames: 256}, source.render,
		func(sentence string) { said = append(said, sentence) })
	if err != nil {
		t.Fatal(err)
	}
	defer k.Close()
	requireTone(t, server, 1)

	server.Kill()
	eventually(t, "the loss", func() bool { _, lost := k.Output(); return lost })
	before := source.frames.Load()
	eventually(t, "rendering by the clock", func() bool { return source.frames.Load() > before+24000 })

	server.Start(48000, 256)
	eventually(t, "finding the server again", func() bool { _, lost := k.Output(); return !lost })
	requireTone(t, server, 1)
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
	server := testjack.New(t, "jack_rec")
	server.Start(48000, 256)
	other := &tone{rateHz: 48000}
	held, err := Open(Settings{Device: "system", RateHz: 48000}, other.render)
	if err != nil {
		t.Fatal(err)
	}
	server.Kill()
	calls := int64(-1)
	eventually(t, "silence", func() bool {
		before := calls
		calls = held.Calls()
		time.Sleep(100 * time.Millisecond)
		return calls == before
	})
	server.Start(48000, 256)
	if client := jack.OpenOutput(); client != nil {
		t.Error("a client was opened while a dead one is held")
		client.Close()
	}
	if err := held.Close(); err != nil {
		t.Error(err)
	}
	client := jack.OpenOutput()
	if client == nil {
		t.Fatal("no client can be opened after the dead one was closed")
	}
	client.Close()
}

// The program that was played into ends, while the server goes on: that is said, the clock plays on, and sound goes
// into it again once it is back.
func TestJACKLosesTheProgramItPlaysInto(t *testing.T) {
	server := testjack.New(t, "jack_rec")
	server.Start(48000, 256)
	listen := func() (end func()) {
		path := filepath.Join(t.TempDir(), "into.wav")
		recorder := exec.Command("jack_rec", "-f", path, "-d", "60", "-b", "16", "system:capture_1",
			"system:capture_2")
		if err := recorder.Start(); err != nil {
			t.Fatal(err)
		}
		eventually(t, "the recorder's inputs", func() bool {
			ports, err := server.Run("jack_lsp")
			return err == nil && strings.Contains(ports, "jackrec:input2")
		})
		return func() {
			recorder.Process.Kill()
			recorder.Wait()
		}
	}
	end := listen()
	source := &tone{rateHz: 48000}
	said := make(chan string, 10)
	k, err := Keep(Settings{Device: "jackrec", RateHz: 48000, BlockFrames: 256}, source.render,
		func(sentence string) { said <- sentence })
	if err != nil {
		end()
		t.Fatal(err)
	}
	defer k.Close()
	end()
	if got := <-said; !strings.HasPrefix(got, "jackrec (JACK) has gone silent") {
		t.Errorf("it says %q", got)
	}
	defer listen()()
	if got := <-said; got != "jackrec (JACK) is back." {
		t.Errorf("it says %q", got)
	}
}

// Rendering ahead waits for what is read ahead, while there is enough left to play; without it the ring is not filled
// in one rush, and nothing is heard of it.
func TestJACKRendersAheadOfWhatIsReadyOnly(t *testing.T) {
	server := testjack.New(t, "jack_rec")
	server.Start(48000, 256)
	source := &tone{rateHz: 48000}
	var ready atomic.Bool
	output, err := Open(Settings{Device: "system", RateHz: 48000, BlockFrames: 256, Safe: true, Latency: time.Second,
		Ready: func(int) bool { return ready.Load() }}, source.render)
	if err != nil {
		t.Fatal(err)
	}
	defer output.Close()
	ahead := func() int64 { return source.frames.Load() - 256*output.Calls() }
	eventually(t, "rendering", func() bool { return output.Calls() > 20 })
	if frames := ahead(); frames > 48000/4 {
		t.Errorf("%d frames were rendered ahead though nothing was ready, want a period or two", frames)
	}
	requireTone(t, server, 1)
	ready.Store(true)
	eventually(t, "rendering ahead", func() bool { return ahead() > 48000/2 })
}
