//go:build !cgo

// MIDI ports in a program that was built without cgo: there are none.

package midi

import (
	"errors"

	"lapstrake/engine/live"
)

func newPortSystem(*live.Arrivals) (portSystem, error) {
	return nil, errors.New("this lapstrake was built without sound devices: build it with cgo; raw MIDI bytes work " +
		"all the same")
}
