//go:build cgo && unix

package midi

import (
	"math"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"lapstrake/engine/live"
	"lapstrake/engine/live/testjack"
)

// start starts a program that ends with the test, by SIGTERM: what is killed leaves its shared memory behind.
func start(t *testing.T, cmd *exec.Cmd) (end func()) {
	t.Helper()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	end = sync.OnceFunc(func() {
		cmd.Process.Signal(syscall.SIGTERM)
		hung := time.AfterFunc(10*time.Second, func() { cmd.Process.Kill() })
		cmd.Wait()
		hung.Stop()
	})
	t.Cleanup(end)
	return end
}

// play has a sequencer strike key 60 or 63 every 250 ms, for 62.5 ms, connected to our port, until the test ends.
func play(t *testing.T, server *testjack.Server) {
	t.Helper()
	start(t, exec.Command("jack_midiseq", "Seq", "24000", "0", "60", "3000", "12000", "63", "3000"))
	for range 100 {
		if _, err := server.Run("jack_connect", "Seq:out", jackInName); err == nil {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("Seq:out could not be connected to " + jackInName)
}

// awaitEvents asks for blocks by the clock until count events have been applied.
func (d *listener) awaitEvents(t *testing.T, count int) {
	t.Helper()
	for range 20000 {
		now := live.Now()
		for due := d.frame * 1e9 / 48000; due <= now; due = d.frame * 1e9 / 48000 {
			d.block(due)
		}
		if len(d.applied) >= count {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatalf("%d of %d events have arrived", len(d.applied), count)
}

func TestJACKMIDIReachesOurPort(t *testing.T) {
	server := testjack.New(t, "jack_connect", "jack_midiseq")
	server.Start(48000, 1024)
	d := newListener()
	d.frame = live.Now() * 48 / 1e6
	said := make(chan string, 100)
	ports, err := OpenPorts(d.arrivals, nil, func(line string) { said <- line })
	if err != nil {
		t.Fatal(err)
	}
	defer ports.Close()
	play(t, server)
	d.awaitEvents(t, 12)

	// Notes stand where the sequencer put them, not at the beginnings of periods of 21 ms. Most do: a server without
	// hardware is itself late now and then.
	var off []float64
	for i := 2; i < 12; i++ {
		off = append(off, math.Abs(float64(d.applied[i].Frame-d.applied[i-2].Frame)/48-250))
	}
	slices.Sort(off)
	t.Logf("off a spacing of 250 ms by %.2f ms", off)
	if off[len(off)/2] > 1 {
		t.Errorf("half of the notes are more than %.2f ms off their spacing of 250 ms; want 1 ms", off[len(off)/2])
	}
	if count := testing.AllocsPerRun(1000, func() { d.arrivals.Begin(d.frame, 0, live.Now()) }); count != 0 {
		t.Errorf("%.0f allocations to fetch what has come; want none", count)
	}
	listed, err := List()
	if err != nil || !slices.ContainsFunc(listed,
		func(p Port) bool { return p == Port{Name: "Seq:out", API: "jack", program: true} }) {
		t.Errorf("List: %v, %v; want Seq:out among them", listed, err)
	}

	// The server ends and comes back: nothing is held, and our port is there again.
	server.Kill()
	for line := range said {
		if strings.Contains(line, "has gone") {
			break
		}
	}
	d.settle(live.Now() + 1e9)
	if keys := d.held(); len(keys) > 0 {
		t.Errorf("held after the server ended: %v", keys)
	}
	server.Start(48000, 256)
	if line := <-said; !strings.Contains(line, jackInName) || !strings.Contains(line, "is open") {
		t.Errorf("said %q; want our port open again", line)
	}
}
