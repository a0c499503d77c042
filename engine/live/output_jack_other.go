//go:build !cgo || !unix

// Where JACK cannot be reached.

package live

import "errors"

const jackHost = "JACK"

func jackDevices() []Device { return nil }

func openJACK(Device, OutputSettings, func(out []float32)) (*Output, error) {
	return nil, errors.New("this lapstrake was built without JACK")
}
