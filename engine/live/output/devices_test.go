// Devices are found by what people type.

package output

import (
	"errors"
	"strings"
	"testing"
)

func someDevices() []Device {
	return inOrder([]Device{
		{Name: "Shed Speakers", Host: "ALSA", Channels: 2},
		{Name: "Slipway 8", Host: "ALSA", Channels: 8, Default: true},
		{Name: "Slipway 8 loopback", Host: "ALSA", Channels: 8, Default: true},
		{Name: "Slipway 8", Host: "OSS", Channels: 8},
		{Name: "Foghorn", Host: "OSS", Channels: 1},
	})
}

func TestChooseDevice(t *testing.T) {
	for want, number := range map[string]int{
		"": 2, "1": 1, " 4 ": 4, "shed": 1, "SPEAK": 1, "loopback": 3,
		"slipway 8 (oss)": 4, // a whole "name (host)" wins over names that go on
		"slipway 8 (al":   2,
		"foghorn":         5,
	} {
		device, err := choose(someDevices(), want)
		if err != nil || device.Number != number {
			t.Errorf("%q: found %d, %s (%v); want %d", want, device.Number, device, err, number)
		}
	}
}

func TestChooseDeviceRefuses(t *testing.T) {
	for want, says := range map[string][]string{
		"slipway": {"means 3 outputs", "2  Slipway 8 (ALSA)", "3  Slipway 8 loopback (ALSA)", "4  Slipway 8 (OSS)"},
		"quay":    {`"quay"`},
		"6":       {"expected 1 to 5"},
		"0":       {"expected 1 to 5"},
	} {
		device, err := choose(someDevices(), want)
		if err == nil {
			t.Errorf("%q: chose %s, want an error", want, device)
			continue
		}
		for _, part := range says {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%q: %q does not say %q", want, err, part)
			}
		}
	}
	_, err := choose(nil, "")
	if !errors.Is(err, errNoDevice) {
		t.Errorf("no devices at all: %v", err)
	}
}

func TestOneDefault(t *testing.T) {
	marks := 0
	for _, device := range someDevices() {
		if device.Default {
			marks++
		}
	}
	if marks != 1 {
		t.Errorf("%d devices are marked as the default, want 1", marks)
	}
	if devices := inOrder([]Device{{Name: "a"}, {Name: "b"}}); !devices[0].Default {
		t.Error("where no host names a default, the first device is not it")
	}
}

func TestMonoIsRefused(t *testing.T) {
	device, err := choose(someDevices(), "foghorn")
	if err != nil {
		t.Fatal(err)
	}
	_, err = openDevice(device, Settings{}, func([]float32) {})
	if err == nil || !strings.Contains(err.Error(), `"Foghorn (OSS)" has 1 channel`) {
		t.Errorf("a device with one channel: %v", err)
	}
}
