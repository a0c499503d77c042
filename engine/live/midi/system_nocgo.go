//go:build !cgo

// MIDI ports in a program that was built without cgo: there are none.

package live

import "errors"

func newPortSystem(*Arrivals) (portSystem, error) {
	return nil, errors.New("this lapstrake was built without sound devices: build it with cgo; --midi-raw works all the same")
}
