//go:build cgo && unix

package jack_test

import (
	"syscall"
	"testing"
	"time"

	"lapstrake/engine/live/jack"
	"lapstrake/engine/live/testjack"
)

// A server that asks for nothing any more counts as gone, though its connection stands: so does one that ended while
// we were connecting. A pause of our own is none of its.
func TestServerThatStandsStillCountsAsGone(t *testing.T) {
	server := testjack.New(t)
	server.Start(48000, 256)
	midi := jack.OpenMIDI()
	if midi == nil {
		t.Fatal("no client on a server that runs")
	}
	defer midi.Close()
	alive := func(looks int) (alive bool) {
		alive = true
		for i := 0; i < looks && alive; i++ {
			time.Sleep(600 * time.Millisecond)
			alive = midi.Alive()
		}
		return alive
	}
	if !alive(3) {
		t.Error("a server that runs counts as gone")
	}
	server.Signal(syscall.SIGSTOP)
	time.Sleep(3 * time.Second)
	if !midi.Alive() {
		t.Error("after one look it counts as gone")
	}
	if alive(10) {
		t.Error("a server that has stood still for ten looks counts as there")
	}
	server.Signal(syscall.SIGCONT)
}
