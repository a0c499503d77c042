//go:build cgo && !unix

package live

import "errors"

type jackPorts struct{ arrivals *Arrivals }

func (*jackPorts) list() []Port { return nil }

func (*jackPorts) open(Port, *Source) (portInput, error) {
	return nil, errors.New("this lapstrake was built without JACK")
}

func (*jackPorts) close() {}
