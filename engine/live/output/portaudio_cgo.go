//go:build cgo

// PortAudio: every sound system but JACK.

package output

import (
	"errors"
	"fmt"
	"math"
	"os"
	"sync/atomic"
	"time"

	"github.com/gordonklaus/portaudio"
)

// portAudio is the library's life. Its list of devices is made by Initialize and stays as it is until
// Terminate, so the library is only kept while an output is open. Calls into it go one at a time.
var portAudio = struct {
	turn  chan struct{} // holds a token while nobody calls
	users int
}{turn: make(chan struct{}, 1)}

func init() { portAudio.turn <- struct{}{} }

// callPortAudio makes a call with the library to itself. While an earlier call hangs it fails after 1 s.
func callPortAudio(call func() error) error {
	timer := time.NewTimer(time.Second)
	defer timer.Stop()
	select {
	case <-portAudio.turn:
		defer func() { portAudio.turn <- struct{}{} }()
		return call()
	case <-timer.C:
		return errStuck
	}
}

// holdPortAudio and releasePortAudio: within callPortAudio.
func holdPortAudio() error {
	if portAudio.users == 0 {
		if err := initializeWithoutJACK(); err != nil {
			return fmt.Errorf("PortAudio cannot start: %w", err)
		}
	}
	portAudio.users++
	return nil
}

func releasePortAudio() error {
	portAudio.users--
	if portAudio.users == 0 {
		return portaudio.Terminate()
	}
	return nil
}

// initializeWithoutJACK keeps PortAudio's own JACK part from finding a server, since its Terminate aborts the program
// when that server has gone meanwhile. The variables are libjack's (jackd(1)) and pipewire-jack's; nothing else in
// this program reads them but other JACK clients as they are opened.
func initializeWithoutJACK() error {
	for name, value := range map[string]string{
		"JACK_DEFAULT_SERVER":  "lapstrake-opens-none",
		"JACK_NO_START_SERVER": "1",
		"PIPEWIRE_NOJACK":      "1",
	} {
		before, was := os.LookupEnv(name)
		os.Setenv(name, value)
		defer func() {
			if was {
				os.Setenv(name, before)
			} else {
				os.Unsetenv(name)
			}
		}()
	}
	return portaudio.Initialize()
}

func portAudioDevices() (devices []Device, err error) {
	err = callPortAudio(func() error {
		if err := holdPortAudio(); err != nil {
			return err
		}
		defer releasePortAudio()
		infos, err := portaudio.Devices()
		if err != nil {
			return err
		}
		// Where the library has no default, the error is the same as having none.
		standard, _ := portaudio.DefaultOutputDevice()
		for _, info := range infos {
			if info.MaxOutputChannels > 0 {
				devices = append(devices, describe(info, info == standard))
			}
		}
		return nil
	})
	return devices, err
}

func describe(info *portaudio.DeviceInfo, standard bool) Device {
	return Device{
		Name: info.Name, Host: info.HostApi.Name, Channels: info.MaxOutputChannels,
		RateHz:     int(math.Round(info.DefaultSampleRate)),
		LowLatency: info.DefaultLowOutputLatency, SafeLatency: info.DefaultHighOutputLatency,
		Default: standard, index: info.Index,
	}
}

// portAudioConnection is an open stream.
type portAudioConnection struct {
	stream   *portaudio.Stream
	render   func(out []float32)
	called   atomic.Int64
	underrun atomic.Int64
	block    []float32 // what Write takes
	writer   *writer   // nil when the callback renders
}

func openPortAudio(device Device, settings Settings, render func(out []float32)) (output *Output, err error) {
	err = callPortAudio(func() error {
		if err := holdPortAudio(); err != nil {
			return err
		}
		if output, err = startPortAudio(device, settings, render); err != nil {
			releasePortAudio()
		}
		return err
	})
	return output, err
}

// startPortAudio: within callPortAudio.
func startPortAudio(device Device, settings Settings, render func(out []float32)) (*Output, error) {
	info, err := findInfo(device)
	if err != nil {
		return nil, err
	}
	parameters := portaudio.StreamParameters{
		Output:          portaudio.StreamDeviceParameters{Device: info, Channels: 2, Latency: settings.Latency},
		SampleRate:      float64(settings.RateHz),
		FramesPerBuffer: settings.BlockFrames,
	}
	s := &portAudioConnection{render: render, block: make([]float32, 2*settings.BlockFrames)}
	if settings.Safe {
		// Interleaved, always: without it this way corrupts memory on some systems.
		s.stream, err = portaudio.OpenStream(parameters, &s.block)
	} else {
		s.stream, err = portaudio.OpenStream(parameters, s.callback)
	}
	if err == portaudio.InvalidSampleRate && device.RateHz != settings.RateHz {
		return nil, &RateError{Device: device.String(), WantHz: settings.RateHz, DeviceHz: device.RateHz}
	}
	if err != nil {
		return nil, err
	}
	if err := s.stream.Start(); err != nil {
		s.stream.Close()
		return nil, err
	}
	if settings.Safe {
		s.writer = startWriter(settings.BlockFrames, render, s.write)
	}
	output := &Output{Device: device, RateHz: settings.RateHz, BlockFrames: settings.BlockFrames,
		Latency: settings.Latency, connection: s}
	if figures := s.stream.Info(); figures != nil && figures.OutputLatency > 0 {
		output.Latency = figures.OutputLatency
	}
	return output, nil
}

// findInfo finds a device of a list in the library's list of now.
func findInfo(device Device) (*portaudio.DeviceInfo, error) {
	infos, err := portaudio.Devices()
	if err != nil {
		return nil, err
	}
	same := func(info *portaudio.DeviceInfo) bool {
		return info.Name == device.Name && info.HostApi.Name == device.Host && info.MaxOutputChannels >= 2
	}
	if device.index < len(infos) && same(infos[device.index]) {
		return infos[device.index], nil
	}
	for _, info := range infos {
		if same(info) {
			return info, nil
		}
	}
	return nil, errors.New("it has gone since the devices were listed")
}

// callback: audio thread. out is the library's memory, good only during the call.
func (s *portAudioConnection) callback(out []float32, _ portaudio.StreamCallbackTimeInfo,
	flags portaudio.StreamCallbackFlags) {
	if flags&portaudio.OutputUnderflow != 0 {
		s.underrun.Add(1)
	}
	s.render(out)
	s.called.Add(1)
}

// write: the writer's goroutine. An underflow is counted and survived; any other error ends the writer, and
// the calls standing still tell it.
func (s *portAudioConnection) write(block []float32) error {
	copy(s.block, block)
	err := s.stream.Write()
	if err == portaudio.OutputUnderflowed {
		s.underrun.Add(1)
		err = nil
	}
	if err == nil {
		s.called.Add(1)
	}
	return err
}

func (s *portAudioConnection) counts() (calls, underruns int64) {
	return s.called.Load(), s.underrun.Load()
}

func (s *portAudioConnection) close() error {
	return callPortAudio(func() error {
		if s.writer != nil {
			s.writer.end()
		}
		return errors.Join(s.stream.Stop(), s.stream.Close(), releasePortAudio())
	})
}
