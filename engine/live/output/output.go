// Package output plays into a sound device: it lists devices, opens one with explicit settings, counts what happens,
// and closes it without ever hanging. A Keeper holds on to a device that comes and goes.
package output

import (
	"errors"
	"fmt"
	"sync"
	"time"
)

const (
	openTimeout  = 5 * time.Second
	closeTimeout = 2 * time.Second

	defaultBlockFrames = 256
	safeLatency        = 20 * time.Millisecond
)

// errStuck says that an earlier call into a sound system has never come back.
var errStuck = errors.New("the sound system hangs: end lapstrake and start it again to hear sound")

// errNoAnswer says that a call has not come back in time.
var errNoAnswer = errors.New("the sound system did not answer")

// Settings say which device plays, and how.
type Settings struct {
	Device      string        // "" the default, a number, or a part of a name in any case
	RateHz      int           // 0: the device's own
	BlockFrames int           // frames a call of render; 0: 256. JACK's server decides for itself
	Latency     time.Duration // 0: the device's lowest, or with Safe its safe one, at least 20 ms
	Safe        bool          // render ahead into a buffer: later to sound, and it survives what a busy machine does

	// Ready, where not nil, says whether render would find all that it needs for so many frames. What is rendered
	// ahead waits for it, as long as that is not heard. Any thread; no allocation or lock.
	Ready func(frames int) bool

	host string // ask this sound system alone; "" all
}

// Output plays what its render function gives. Its figures may be read at any time, from any goroutine but
// the audio thread.
type Output struct {
	Device      Device
	RateHz      int
	BlockFrames int
	Latency     time.Duration // from render to the loudspeaker, as far as the host tells

	mu         sync.Mutex
	connection connection // nil once closed
	calls      int64      // as they were at the end
	underruns  int64
}

// connection is what asks for sound: a sound system or the clock.
type connection interface {
	// counts tells how often the device asked for sound, and how often that came too late.
	counts() (calls, underruns int64)
	// close ends it; it may hang where the sound system does.
	close() error
}

// Open opens and starts an output. render fills its argument with interleaved stereo frames; it runs on the
// audio thread and must not allocate, lock, or call the system. It is a *RateError when the
// device is there but has another rate. Control goroutine.
func Open(settings Settings, render func(out []float32)) (*Output, error) {
	devices, err := devicesOf(settings.host)
	if err != nil {
		return nil, err
	}
	device, err := choose(devices, settings.Device)
	if err != nil {
		return nil, err
	}
	return openDevice(device, settings, render)
}

func openDevice(device Device, settings Settings, render func(out []float32)) (*Output, error) {
	if err := stereo(device); err != nil {
		return nil, err
	}
	if settings.RateHz == 0 {
		settings.RateHz = device.RateHz
	}
	if settings.BlockFrames == 0 {
		settings.BlockFrames = defaultBlockFrames
	}
	if settings.Latency == 0 {
		settings.Latency = device.LowLatency
		if settings.Safe {
			settings.Latency = max(device.SafeLatency, safeLatency)
		}
	}
	output, err := within(openTimeout, "opening it", func() (*Output, error) {
		if device.Host == jackHost {
			return openJACK(device, settings, render)
		}
		return openPortAudio(device, settings, render)
	}, func(late *Output) { late.Close() })
	if wrongRate := (*RateError)(nil); err != nil && !errors.As(err, &wrongRate) {
		err = fmt.Errorf("%s: %w", device, err)
	}
	return output, err
}

// Calls is how often the device asked for sound. While it stands still, nothing sounds.
func (o *Output) Calls() int64 {
	calls, _ := o.counts()
	return calls
}

// Underruns is how often the sound had a gap because render, or another program, was late.
func (o *Output) Underruns() int64 {
	_, underruns := o.counts()
	return underruns
}

func (o *Output) counts() (calls, underruns int64) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.connection != nil {
		o.calls, o.underruns = o.connection.counts()
	}
	return o.calls, o.underruns
}

// Close stops the output and gives the device up. It returns after 2 s at the latest: what then still
// hangs in the sound system is left behind, and render may even be called once more.
func (o *Output) Close() error {
	o.counts()
	o.mu.Lock()
	ended := o.connection
	o.connection = nil
	o.mu.Unlock()
	if ended == nil {
		return nil
	}
	_, err := within(closeTimeout, o.Device.String(), func() (struct{}, error) { return struct{}{}, ended.close() },
		nil)
	return err
}

// within runs what calls a sound system's library, which may hang when its server or device has gone. After the
// timeout it returns an error and leaves the call behind; undo, where not nil, takes back what it brings after all.
func within[T any](timeout time.Duration, what string, call func() (T, error), undo func(T)) (T, error) {
	type outcome struct {
		value T
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		value, err := call()
		done <- outcome{value, err}
	}()
	timer := time.NewTimer(timeout)
	defer timer.Stop()
	select {
	case out := <-done:
		return out.value, out.err
	case <-timer.C:
		go func() {
			if out := <-done; out.err == nil && undo != nil {
				undo(out.value)
			}
		}()
		var none T
		return none, fmt.Errorf("%s: %w within %v", what, errNoAnswer, timeout)
	}
}
