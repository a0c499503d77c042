// Where the page listens.

package page

import (
	"fmt"
	"net"
	"net/netip"
	"strconv"
)

// Address is where a page listens. The zero Address is any free port of the loopback.
type Address struct {
	Host string // a loopback address, or localhost; "" is 127.0.0.1
	Port int    // 0 takes a free one
	Open bool   // other machines may reach it: Host may be any address of this machine
}

// ParseAddress reads HOST:PORT; "" is the zero Address. Hosts that other machines could reach are refused unless open.
func ParseAddress(text string, open bool) (Address, error) {
	if text == "" {
		return Address{}, nil
	}
	host, portText, err := net.SplitHostPort(text)
	if err != nil {
		return Address{}, fmt.Errorf("%q: expected HOST:PORT, such as 127.0.0.1:8080 or localhost:0", text)
	}
	port, err := strconv.Atoi(portText)
	if err != nil || port < 0 || port > 65535 {
		return Address{}, fmt.Errorf("%q: port %q: expected 0 to 65535, where 0 is any free one", text, portText)
	}
	a := Address{Host: host, Port: port}
	if a.Loopback() {
		return a, nil
	}
	if ip, err := netip.ParseAddr(host); err != nil || ip.Zone() != "" {
		return Address{}, fmt.Errorf("%q: expected localhost or the number of an address, such as 127.0.0.1", text)
	}
	if !open {
		return Address{}, fmt.Errorf("%q can be reached from other machines, and what goes there can be read on the "+
			"way: expected a loopback address, such as 127.0.0.1:%d", text, port)
	}
	a.Open = true
	return a, nil
}

// Loopback says whether this machine alone can reach the address.
func (a Address) Loopback() bool {
	if a.Host == "" || a.Host == "localhost" {
		return true
	}
	ip, err := netip.ParseAddr(a.Host)
	return err == nil && ip.IsLoopback()
}

func (a Address) listen() (net.Listener, error) {
	host := a.Host
	if host == "" || host == "localhost" {
		host = "127.0.0.1" // whatever a file of hosts says
	}
	if !a.Loopback() && !a.Open {
		return nil, fmt.Errorf("%s is no loopback address", host)
	}
	return net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(a.Port)))
}
