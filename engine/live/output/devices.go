// The sound outputs of this machine, and how one of them is chosen.

package output

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Device is one sound output.
type Device struct {
	Number      int // as listed, from 1; it changes when devices come and go
	Name        string
	Host        string // the system that offers it: JACK, ALSA, Core Audio, …
	Channels    int    // outputs, at least 1
	RateHz      int    // its own rate; JACK has no other
	BlockFrames int    // the block length that the host fixes, or 0 where it is ours to choose
	LowLatency  time.Duration
	SafeLatency time.Duration
	Default     bool // what an empty name chooses

	index int // the host library's own number, good until its list is read anew
}

func (d Device) String() string {
	return fmt.Sprintf("%s (%s)", d.Name, d.Host)
}

// Devices lists the outputs of every sound system that this program can reach. A running JACK server comes
// first: it holds the hardware that the others would offer. Control goroutine; it may take some
// 10 ms, and fails after 5 s.
func Devices() ([]Device, error) { return devicesOf("") }

// devicesOf asks one host alone, or all with "".
func devicesOf(host string) ([]Device, error) {
	return within(openTimeout, "listing the sound devices", func() ([]Device, error) {
		var devices []Device
		if host == "" || host == jackHost {
			devices = jackDevices()
		}
		if host != jackHost {
			others, err := portAudioDevices()
			if err != nil && len(devices) == 0 {
				return nil, err
			}
			devices = append(devices, others...)
		}
		return inOrder(devices), nil
	}, nil)
}

// inOrder gives the devices their numbers and leaves one default mark: the first.
func inOrder(devices []Device) []Device {
	found := false
	for i := range devices {
		devices[i].Number = i + 1
		devices[i].Default = devices[i].Default && !found
		found = found || devices[i].Default
	}
	if !found && len(devices) > 0 {
		devices[0].Default = true
	}
	return devices
}

// errNoDevice says that this machine has no sound output at all, where none was asked for.
var errNoDevice = errors.New("no sound device was found")

// ChoiceError says that a device was asked for that is not there, or is not meant by itself.
type ChoiceError struct {
	Want    string
	Matches []Device // that it could mean; none where nothing matches
	wrong   string
}

func (e *ChoiceError) Error() string { return fmt.Sprintf("%q %s", e.Want, e.wrong) }

// RateError says that a device does not run at the rate asked for. Opening it at DeviceHz works.
type RateError struct {
	Device   string
	WantHz   int
	DeviceHz int
}

func (e *RateError) Error() string {
	return fmt.Sprintf("%s does not run at %d Hz; its own rate is %d Hz", e.Device, e.WantHz, e.DeviceHz)
}

// choose finds the device that want means: "" the default; a number the device of that number; otherwise a
// whole name, or failing that a part of one, of the name or of "name (host)", in any case.
func choose(devices []Device, want string) (Device, error) {
	want = strings.TrimSpace(want)
	if len(devices) == 0 {
		if want == "" {
			return Device{}, errNoDevice
		}
		return Device{}, &ChoiceError{Want: want, wrong: "is not there: no sound device was found at all"}
	}
	if want == "" {
		return theDefault(devices), nil
	}
	if number, err := strconv.Atoi(want); err == nil {
		if number >= 1 && number <= len(devices) {
			return devices[number-1], nil
		}
		return Device{}, &ChoiceError{Want: want, wrong: fmt.Sprintf("is no device: expected 1 to %d", len(devices))}
	}
	lower := strings.ToLower(want)
	var exact, partly []Device
	for _, device := range devices {
		name, full := strings.ToLower(device.Name), strings.ToLower(device.String())
		if name == lower || full == lower {
			exact = append(exact, device)
		}
		if strings.Contains(full, lower) {
			partly = append(partly, device)
		}
	}
	found := exact
	if len(found) == 0 {
		found = partly
	}
	switch len(found) {
	case 0:
		return Device{}, &ChoiceError{Want: want, wrong: "is in no output's name"}
	case 1:
		return found[0], nil
	}
	var names []string
	for _, device := range found {
		names = append(names, fmt.Sprintf("  %d  %s", device.Number, device))
	}
	return Device{}, &ChoiceError{Want: want, Matches: found,
		wrong: fmt.Sprintf("means %d outputs; give more of the name, or the number:\n%s", len(found),
			strings.Join(names, "\n"))}
}

func theDefault(devices []Device) Device {
	for _, device := range devices {
		if device.Default {
			return device
		}
	}
	return devices[0]
}

// stereo refuses a device with one channel: half of the sound would be lost.
func stereo(device Device) error {
	if device.Channels < 2 {
		return &ChoiceError{Want: device.String(), wrong: fmt.Sprintf("has %d channel: expected two for stereo; "+
			"choose another", device.Channels)}
	}
	return nil
}
