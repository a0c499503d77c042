// How much is taken from visitors: nothing that they send can fill memory or keep the machine from playing.

package page

import (
	"io"
	"log"
	"net"
	"sync"
	"time"
)

const (
	mostVisitors    = 12 // of the 32 inputs that a player can have
	mostConnections = 64
	requestsPerSec  = 50
	requestsAtOnce  = 300
	messagesPerSec  = 400 // of one visitor; ten fingers on ten controllers send fewer
	messagesAtOnce  = 800
	messageBytes    = 4 << 10
	wrongMessages   = 20 // after so many, a visitor is shown out
	mostAsks        = 64
)

// bucket lets so many things a second through, and so many at once after a pause.
type bucket struct {
	mu       sync.Mutex
	perSec   float64
	most     float64
	left     float64
	counted  time.Time
	nowClock func() time.Time
}

func newBucket(perSec, most float64) *bucket {
	return &bucket{perSec: perSec, most: most, left: most, counted: time.Now(), nowClock: time.Now}
}

func (b *bucket) take() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	now := b.nowClock()
	b.left = min(b.most, b.left+b.perSec*now.Sub(b.counted).Seconds())
	b.counted = now
	if b.left < 1 {
		return false
	}
	b.left--
	return true
}

// limitedListener has so many connections at once; more wait.
type limitedListener struct {
	net.Listener
	places chan struct{}
	closed chan struct{}
	once   sync.Once
}

func limited(l net.Listener, most int) net.Listener {
	return &limitedListener{Listener: l, places: make(chan struct{}, most), closed: make(chan struct{})}
}

// Accept waits for a place first.
func (l *limitedListener) Accept() (net.Conn, error) {
	select {
	case l.places <- struct{}{}:
	case <-l.closed:
		return nil, net.ErrClosed
	}
	conn, err := l.Listener.Accept()
	if err != nil {
		<-l.places
		return nil, err
	}
	return &placedConn{Conn: conn, leave: sync.OnceFunc(func() { <-l.places })}, nil
}

// Close also ends an Accept that waits for a place.
func (l *limitedListener) Close() error {
	l.once.Do(func() { close(l.closed) })
	return l.Listener.Close()
}

type placedConn struct {
	net.Conn
	leave func()
}

// Close gives the place back.
func (c *placedConn) Close() error {
	defer c.leave()
	return c.Conn.Close()
}

// quietLog keeps the server from writing over the status line what strangers send it.
func quietLog() *log.Logger { return log.New(io.Discard, "", 0) }
