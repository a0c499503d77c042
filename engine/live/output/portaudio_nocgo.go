//go:build !cgo

// Built without cgo there is no sound device, and the program says so.

package output

import "errors"

var errNoDevices = errors.New("this lapstrake was built without sound devices: build it with cgo")

func portAudioDevices() ([]Device, error) { return nil, errNoDevices }

func openPortAudio(Device, Settings, func(out []float32)) (*Output, error) {
	return nil, errNoDevices
}
