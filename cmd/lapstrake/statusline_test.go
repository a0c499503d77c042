// Messages and the status line do not garble each other.

package main

import (
	"bytes"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"
)

// newScreen has room for one line alone.
func newScreen(columns int) (*screen, *statusLine) {
	s := &screen{columns: columns, rows: make([][]rune, 1)}
	return s, &statusLine{out: s, size: func() (int, int) { return s.columns, s.height },
		now: func() time.Time { return someTime }}
}

var someTime = time.Date(2024, 5, 1, 12, 0, 0, 0, time.UTC)

func TestStatusLineStaysBelowTheMessages(t *testing.T) {
	screen, line := newScreen(60)
	line.say("before")
	line.show(someTime, status{peakDBFS: -120, volumeDB: -120, latch: true})
	line.say("a message longer than the status: 47 columns ..")
	streams{notices: line}.notice("two\nlines")
	line.show(someTime, status{peakDBFS: -6, recording: true, recordedSec: 5})
	drawn := "[=========== ]   -6.0 dBFS  dynamics   0  recorded 0:05"
	want := "12:00:00  before\n12:00:00  a message longer than the status: 47 columns ..\n12:00:00  two\n          " +
		"lines\n" + drawn
	if got := screen.String(); got != want {
		t.Errorf("the screen shows\n%s\nwant\n%s", got, want)
	}
	screen.columns = 20
	line.show(someTime, status{peakDBFS: -6, latch: true})
	if got := screen.String(); !strings.HasSuffix(got, "lines\n -6.0 dBFS  latch") {
		t.Errorf("made narrower, the screen shows\n%s", got)
	}
	line.end()
	line.say("after")
	if got := screen.String(); !strings.HasSuffix(got, "lines\n12:00:00  after\n") {
		t.Errorf("in the end the screen shows\n%s", got)
	}
}

func TestStatusLineHoldsThePeak(t *testing.T) {
	screen, line := newScreen(30)
	for _, c := range []struct {
		afterSec, peakDBFS, shownDBFS float64
	}{{0, -6, -6}, {1, -20, -6}, {1.9, -30, -6}, {2, -30, -30}, {2.1, -10, -10}, {4, -40, -10}, {4.2, -40, -40}} {
		line.show(someTime.Add(time.Duration(c.afterSec*1e9)), status{peakDBFS: c.peakDBFS})
		if want := fmt.Sprintf("%5.1f dBFS", c.shownDBFS); !strings.Contains(screen.String(), want) {
			t.Errorf("after %v s: %q, want %q", c.afterSec, screen, want)
		}
	}
}

func TestCountsAreShownFromTheReset(t *testing.T) {
	screen, line := newScreen(200)
	requireCounts := func(underruns, misses, wantUnderruns, wantMisses int64) {
		t.Helper()
		line.show(someTime, status{underruns: underruns, misses: misses})
		if want := fmt.Sprintf("underruns %d  late reads %d", wantUnderruns, wantMisses); !strings.Contains(
			screen.String(), want) {
			t.Errorf("%q, want %q", screen, want)
		}
	}
	requireCounts(5, 2, 5, 2)
	line.resetCounts()
	requireCounts(5, 2, 0, 0)
	requireCounts(6, 2, 1, 0)
	requireCounts(1, 0, 1, 0) // the player has begun anew
}

// What cannot be read and what found no room is shown once there is some, from the reset on.
func TestReadErrorsAndStolenNotesAreShown(t *testing.T) {
	screen, line := newScreen(200)
	line.show(someTime, status{})
	if text := screen.String(); strings.Contains(text, "stolen") || strings.Contains(text, "read errors") {
		t.Errorf("%q while all is well", text)
	}
	line.show(someTime, status{readErrors: 3, stolen: 2})
	if text := screen.String(); !strings.Contains(text, "read errors 3") || !strings.Contains(text, "stolen 2") {
		t.Errorf("%q, want 3 read errors and 2 stolen notes", text)
	}
	line.resetCounts()
	line.show(someTime, status{readErrors: 4, stolen: 2})
	if text := screen.String(); !strings.Contains(text, "read errors 1") || strings.Contains(text, "stolen") {
		t.Errorf("%q, want one read error since the reset", text)
	}
}

func TestABuildUnderWayIsShown(t *testing.T) {
	screen, line := newScreen(200)
	line.show(someTime, status{building: true, builtPercent: 40})
	if text := screen.String(); !strings.Contains(text, "rebuilding 40 %") {
		t.Errorf("%q, want how far the build is", text)
	}
	line.show(someTime, status{})
	if text := screen.String(); strings.Contains(text, "rebuilding") {
		t.Errorf("%q when the build is over", text)
	}
}

// Without a terminal there are no codes and no line while all is well; trouble is told, but not in a flood.
func TestStatusLineWithoutATerminal(t *testing.T) {
	var out bytes.Buffer
	line := newStatusLine(&out)
	line.say("playing")
	for tenth := range 300 { // 30 s; blocks are lost from second 5 to 27
		lost := min(max(tenth-50, 0), 220)
		line.show(someTime.Add(time.Duration(tenth)*statusInterval),
			status{underruns: int64(lost), loadPercent: 95, worstLoad: 130})
	}
	line.end()
	want := "playing\nunderruns 1, late reads 0, read errors 0, load 95 %, worst 130 %\nunderruns 101, late reads " +
		"0, read errors 0, load 95 %, worst 130 %\nunderruns 201, late reads 0, read errors 0, load 95 %, worst 130 " +
		"%\n"
	if out.String() != want {
		t.Errorf("printed\n%swant\n%s", &out, want)
	}
}

// Messages from several goroutines stay whole; the race detector judges the rest.
func TestStatusLineFromSeveralGoroutines(t *testing.T) {
	screen, line := newScreen(80)
	var speaking sync.WaitGroup
	for range 4 {
		speaking.Go(func() {
			for range 50 {
				line.say("said")
				line.show(someTime, status{})
				line.resetCounts()
			}
		})
	}
	speaking.Wait()
	line.end()
	if got, want := screen.String(), strings.Repeat("12:00:00  said\n", 200); got != want {
		t.Errorf("the screen shows\n%s", got)
	}
}
