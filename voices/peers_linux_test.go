// This kernel against general-purpose resampling libraries, taking turns on one core in one run.

package voices

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// ourBlocks is how many blocks of all voices together one of our passes takes; theirs takes a twentieth.
const ourBlocks = 20000

// BenchmarkPeers runs the program that the environment variable LAPSTRAKE_PEERS names, compiled from
// testdata/peers.c, and fails where the standard quality is not as many times faster as we say. Each round
// times a pass of ours and one of theirs, about equally long, by thread CPU time. The fastest pass of either
// counts: whatever else the machine does can only slow one down.
func BenchmarkPeers(b *testing.B) {
	program := os.Getenv("LAPSTRAKE_PEERS")
	if program == "" {
		b.Log("nothing to compare with: compile testdata/peers.c and name the program in LAPSTRAKE_PEERS")
		return
	}
	for _, peer := range []struct {
		name       string
		leastRatio float64
	}{{"sinc-fastest", 20}, {"soxr-variable", 15}} {
		for _, voices := range []int{1, 1000} {
			b.Run(fmt.Sprintf("%s/%d", peer.name, voices), func(b *testing.B) {
				comparePeer(b, program, peer.name, voices, peer.leastRatio)
			})
		}
	}
}

func comparePeer(b *testing.B, program, library string, voices int, leastRatio float64) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	turn := startPeer(b, program, library, voices)
	choir := newChoir(newMixer(b, Standard, Fastest, 1), voices)
	choir.playAhead()

	ours, theirs := math.Inf(1), math.Inf(1)
	for b.Loop() {
		ours = min(ours, timeChoir(choir, ourBlocks/voices))
		theirs = min(theirs, turn())
	}
	b.ReportMetric(ours, "our-ns/frame")
	b.ReportMetric(theirs, "their-ns/frame")
	b.ReportMetric(theirs/ours, "times-faster")
	if theirs/ours < leastRatio {
		b.Errorf("%.1f times as fast as %s with %d voices (%.2f and %.1f ns a frame), want %v", theirs/ours, library,
			voices, ours, theirs, leastRatio)
	}
}

// startPeer starts the program and returns what has it time one pass, in nanoseconds of CPU time per voice
// and frame.
func startPeer(b *testing.B, program, library string, voices int) (turn func() float64) {
	step := strconv.FormatFloat(float64(fiveDown)/unitStep, 'g', -1, 64)
	command := exec.Command(program, library, strconv.Itoa(voices), step)
	command.Stderr = os.Stderr
	stdin, err := command.StdinPipe()
	if err != nil {
		b.Fatal(err)
	}
	stdout, err := command.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := command.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		stdin.Close()
		if err := command.Wait(); err != nil {
			b.Error(err)
		}
	})
	lines := bufio.NewReader(stdout)
	turn = func() float64 {
		if _, err := io.WriteString(stdin, "\n"); err != nil {
			b.Fatal(err)
		}
		line, err := lines.ReadString('\n')
		if err != nil {
			b.Fatal(err)
		}
		perFrame, err := strconv.ParseFloat(strings.TrimSpace(line), 64)
		if err != nil {
			b.Fatal(err)
		}
		return perFrame
	}
	turn() // wait until its voices are set up
	return turn
}

// timeChoir returns the nanoseconds of this thread's CPU time per voice and frame.
func timeChoir(c *choir, rounds int) float64 {
	start := threadNanoseconds()
	for range rounds {
		c.playAhead()
	}
	return float64(threadNanoseconds()-start) / float64(rounds*len(c.rings)*benchBlock)
}

func threadNanoseconds() int64 {
	var now unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_THREAD_CPUTIME_ID, &now); err != nil {
		panic(err)
	}
	return now.Nano()
}
