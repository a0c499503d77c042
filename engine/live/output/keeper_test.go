// The keeper loses devices and finds them again, with fake outputs on a fake clock.

package output

import (
	"errors"
	"math"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

const (
	fakeRateHz = 48000
	fakeBlock  = 480
)

// fakeDevice asks for a block every 10 ms while it is plugged in. Closing it while it is not hangs until
// it is let go, and then it calls once more, as sound systems have been seen to do.
type fakeDevice struct {
	plugged atomic.Bool
	hangs   chan struct{}
	rateHz  atomic.Int64
	opened  int
	late    atomic.Int64 // calls after a hang
	sounded atomic.Int64 // blocks with sound
}

type fakeConnection struct {
	device *fakeDevice
	render func(out []float32)
	calls  atomic.Int64
	stop   chan struct{}
}

func (f *fakeDevice) open(settings Settings, render func(out []float32)) (*Output, error) {
	if !f.plugged.Load() {
		return nil, errors.New("no output has that in its name")
	}
	if rateHz := int(f.rateHz.Load()); settings.RateHz != rateHz {
		return nil, &RateError{Device: "Slipway", WantHz: settings.RateHz, DeviceHz: rateHz}
	}
	f.opened++
	s := &fakeConnection{device: f, render: render, stop: make(chan struct{})}
	go func() {
		out := make([]float32, 2*fakeBlock)
		for {
			select {
			case <-s.stop:
				return
			case <-time.After(10 * time.Millisecond):
			}
			if f.plugged.Load() {
				s.call(out)
			}
		}
	}()
	return &Output{Device: Device{Name: "Slipway", Host: "fake"}, RateHz: settings.RateHz, BlockFrames: fakeBlock,
		connection: s}, nil
}

func (s *fakeConnection) call(out []float32) {
	s.render(out)
	s.calls.Add(1)
	if out[0] != 0 {
		s.device.sounded.Add(1)
	}
}

func (s *fakeConnection) counts() (calls, underruns int64) { return s.calls.Load(), 3 }

func (s *fakeConnection) close() error {
	close(s.stop)
	if !s.device.plugged.Load() {
		<-s.device.hangs
		s.device.late.Add(1)
		s.call(make([]float32, 2*fakeBlock))
	}
	return nil
}

// keeperRig plays a constant through a keeper and counts.
type keeperRig struct {
	device *fakeDevice
	keeper *Keeper
	frames atomic.Int64
	inside atomic.Int32
	said   []string
}

func startKeeper(t *testing.T) *keeperRig {
	r := &keeperRig{device: &fakeDevice{hangs: make(chan struct{})}}
	r.device.rateHz.Store(fakeRateHz)
	r.device.plugged.Store(true)
	var err error
	r.keeper, err = keep(Settings{RateHz: fakeRateHz, BlockFrames: fakeBlock}, func(out []float32) {
		if r.inside.Add(1) > 1 {
			t.Error("two threads are inside render at once")
		}
		for i := range out {
			out[i] = 1
		}
		r.frames.Add(int64(len(out) / 2))
		r.inside.Add(-1)
	}, func(sentence string) { r.said = append(r.said, sentence) }, r.device.open)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// letPass lets fake time pass and everybody come to rest.
func letPass(d time.Duration) {
	time.Sleep(d)
	synctest.Wait()
}

func TestKeeperFindsDeviceAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := startKeeper(t)
		letPass(10 * time.Second)
		if len(r.said) > 0 || r.device.opened != 1 {
			t.Fatalf("with a device that plays, opened %d times, said %q", r.device.opened, r.said)
		}

		r.device.plugged.Store(false)
		before := r.frames.Load()
		letPass(20 * time.Second)
		if output, lost := r.keeper.Output(); !lost || output.Device.Host != "clock" {
			t.Errorf("20 s after it was unplugged %s plays", output.Device)
		}
		// All of the 20 s: the clock makes up for the half second until the device counts as lost.
		if passed := r.frames.Load() - before; math.Abs(float64(passed-20*fakeRateHz)) > 2*defaultBlockFrames {
			t.Errorf("%d frames went on in 20 s without a device, want %d within two blocks", passed, 20*fakeRateHz)
		}

		r.device.plugged.Store(true)
		letPass(3 * time.Second)
		if output, lost := r.keeper.Output(); lost || output.Device.Name != "Slipway" || r.device.opened != 2 {
			t.Errorf("3 s after it was plugged in again %s plays, opened %d times", output.Device, r.device.opened)
		}

		// The hung close of the first output comes back, and its thread calls once more.
		sounded := r.device.sounded.Load()
		close(r.device.hangs)
		synctest.Wait()
		if r.device.late.Load() != 1 || r.device.sounded.Load() != sounded {
			t.Errorf("a late call of the old output got sound (%d late calls)", r.device.late.Load())
		}
		letPass(time.Second)
		if r.device.sounded.Load() == sounded {
			t.Error("the device that came back gets silence")
		}
		if r.keeper.Underruns() != 6 {
			t.Errorf("%d underruns of two outputs with 3 each", r.keeper.Underruns())
		}

		if err := r.keeper.Close(); err != nil {
			t.Error(err)
		}
		after := r.frames.Load()
		letPass(5 * time.Second)
		if r.frames.Load() != after {
			t.Error("render is called after Close")
		}
		want := []string{"Slipway (fake) has gone silent", "Slipway (fake) is back."}
		if !slices.EqualFunc(r.said, want, strings.HasPrefix) {
			t.Errorf("said %q, want %q", r.said, want)
		}
	})
}

// A device that comes back at another rate cannot be used: that is said once, and the clock goes on.
func TestKeeperNamesWrongRate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := startKeeper(t)
		close(r.device.hangs)
		r.device.plugged.Store(false)
		letPass(2 * time.Second)
		r.device.rateHz.Store(44100)
		r.device.plugged.Store(true)
		letPass(10 * time.Second)
		if _, lost := r.keeper.Output(); !lost {
			t.Error("it plays a device of another rate")
		}
		if len(r.said) != 2 || !strings.Contains(r.said[1], "at 44100 Hz: set it to 48000 Hz") {
			t.Errorf("said %q", r.said)
		}
		r.device.rateHz.Store(48000)
		letPass(3 * time.Second)
		if _, lost := r.keeper.Output(); lost {
			t.Error("at the right rate it is not used")
		}
		r.keeper.Close()
	})
}

func TestKeeperWithoutDevice(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var said []string
		var frames atomic.Int64
		none := func(settings Settings, _ func([]float32)) (*Output, error) {
			_, err := choose(nil, settings.Device)
			return nil, err
		}
		k, err := keep(Settings{RateHz: fakeRateHz, BlockFrames: fakeBlock},
			func(out []float32) { frames.Add(int64(len(out) / 2)) },
			func(sentence string) { said = append(said, sentence) }, none)
		if err != nil {
			t.Fatal(err)
		}
		letPass(10*time.Second - time.Millisecond)
		k.Close()
		if frames.Load() != 10*fakeRateHz {
			t.Errorf("%d frames in 10 s, want %d", frames.Load(), 10*fakeRateHz)
		}
		if len(said) != 1 || !strings.Contains(said[0], "No sound device was found") {
			t.Errorf("said %q", said)
		}
		if _, err := keep(Settings{Device: "Slipway", RateHz: fakeRateHz}, nil, nil, none); err == nil {
			t.Error("a device that was asked for is not there, and nobody says so")
		}
	})
}

// A device that appears after the start is taken up. One that stays away is given time, and then the default one of
// now takes its place, where none was asked for by name; a JACK server is waited for.
func TestKeeperTakesWhatAppears(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		type fake struct {
			device Device
			fakeDevice
		}
		machine := map[string]*fake{}
		for _, name := range []string{"Headphones", "Speakers"} {
			machine[name] = &fake{device: Device{Name: name, Host: "fake", Channels: 2}}
			machine[name].rateHz.Store(fakeRateHz)
			machine[name].hangs = make(chan struct{})
			close(machine[name].hangs)
		}
		open := func(settings Settings, render func([]float32)) (*Output, error) {
			var there []Device
			for _, name := range []string{"Headphones", "Speakers"} { // the first is the default
				if machine[name].plugged.Load() {
					there = append(there, machine[name].device)
				}
			}
			device, err := choose(there, settings.Device)
			if err != nil {
				return nil, err
			}
			output, err := machine[device.Name].open(settings, render)
			if err == nil {
				output.Device = device
			}
			return output, err
		}
		var said []string
		k, err := keep(Settings{RateHz: fakeRateHz, BlockFrames: fakeBlock}, func([]float32) {},
			func(sentence string) { said = append(said, sentence) }, open)
		if err != nil {
			t.Fatal(err)
		}
		plays := func(want string) {
			t.Helper()
			if output, _ := k.Output(); output.Device.Name != want {
				t.Errorf("%s plays, want %s", output.Device, want)
			}
		}
		letPass(10 * time.Second)
		machine["Speakers"].plugged.Store(true)
		letPass(2 * time.Second)
		plays("Speakers")
		machine["Headphones"].plugged.Store(true)
		letPass(10 * time.Second)
		plays("Speakers") // which goes on well
		machine["Speakers"].plugged.Store(false)
		letPass(3 * time.Second)
		plays("no device")
		letPass(5 * time.Second)
		plays("Headphones")
		k.Close()
		want := []string{"No sound device was found", "Speakers (fake) has appeared and plays now.",
			"Speakers (fake) has gone silent", "Headphones (fake) plays now, in place of Speakers (fake)."}
		if !slices.EqualFunc(said, want, strings.HasPrefix) {
			t.Errorf("said %q, want %q", said, want)
		}

		for _, c := range []struct{ asked, host string }{{"Headphones", "fake"}, {"", jackHost}} {
			machine["Headphones"].device.Host = c.host
			machine["Headphones"].plugged.Store(true)
			machine["Speakers"].plugged.Store(true)
			k, err = keep(Settings{Device: c.asked, RateHz: fakeRateHz, BlockFrames: fakeBlock}, func([]float32) {},
				func(string) {}, open)
			if err != nil {
				t.Fatal(err)
			}
			machine["Headphones"].plugged.Store(false)
			letPass(time.Minute)
			plays("no device")
			k.Close()
		}
	})
}
