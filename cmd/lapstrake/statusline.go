// The status line: redrawn in place at the foot of a terminal, with messages above it.

package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"
)

// statusInterval is the time between two statuses on a terminal.
const statusInterval = 100 * time.Millisecond

// faultInterval is the least time between two lines where there is no terminal.
const faultInterval = 10 * time.Second

// statusLine keeps one line up to date at the foot of a terminal, and prints messages above it.
// Where there is no terminal it says nothing while all is well; when underruns, late reads or read errors
// have risen it prints a plain line, ten seconds apart at least. It may be used from several goroutines.
type statusLine struct {
	out   io.Writer
	width func() int // columns of the terminal, asked each time; nil without a terminal

	mu      sync.Mutex
	last    *status // nil: no line is drawn
	peak    peakHolder
	ceiling peakHolder // of the reduction
	counted faults     // what counts as zero
	latest  faults
	printed faults
	spoke   time.Time
}

// faults are counts that only rise while all goes badly.
type faults struct{ underruns, misses, readErrors, stolen int64 }

// newStatusLine draws on out if it is a terminal that can erase to the end of a line.
func newStatusLine(out io.Writer) *statusLine {
	l := &statusLine{out: out}
	if file, ok := out.(*os.File); ok && term.IsTerminal(int(file.Fd())) && os.Getenv("TERM") != "dumb" {
		l.width = func() int {
			width, _, err := term.GetSize(int(file.Fd()))
			if err != nil || width <= 0 {
				return 80
			}
			return width
		}
	}
	return l
}

// show draws s, which holds at now. Counts are shown from resetCounts on.
func (l *statusLine) show(now time.Time, s status) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.latest = faults{s.underruns, s.misses, s.readErrors, s.stolen}
	if s.underruns < l.counted.underruns || s.misses < l.counted.misses {
		l.counted, l.printed = faults{}, faults{} // the player has begun anew
	}
	s.underruns -= l.counted.underruns
	s.misses -= l.counted.misses
	s.readErrors -= l.counted.readErrors
	s.stolen -= l.counted.stolen
	if l.width == nil {
		l.reportFaults(now, s)
		return
	}
	l.peak.add(now, s.peakDBFS)
	l.ceiling.add(now, s.reductionDB)
	s.reductionDB = l.ceiling.peak
	l.last = &s
	l.draw()
}

func (l *statusLine) reportFaults(now time.Time, s status) {
	risen := l.latest.underruns > l.printed.underruns || l.latest.misses > l.printed.misses ||
		l.latest.readErrors > l.printed.readErrors
	if risen && (l.spoke.IsZero() || now.Sub(l.spoke) >= faultInterval) {
		l.spoke, l.printed = now, l.latest
		fmt.Fprintf(l.out, "underruns %d, late reads %d, read errors %d, load %d %%, worst %d %%\n", s.underruns, s.misses,
			s.readErrors, s.loadPercent, s.worstLoad)
	}
}

// resetCounts makes what has been counted so far count as zero.
func (l *statusLine) resetCounts() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.counted, l.printed = l.latest, l.latest
}

// Write prints whole lines above the status line. On a terminal they end in \r\n, as raw mode needs.
func (l *statusLine) Write(text []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	lines := strings.TrimSuffix(string(text), "\n") + "\n"
	if l.width != nil {
		lines = strings.ReplaceAll(lines, "\n", "\r\n")
		if l.last != nil {
			lines = eraseLine + lines
		}
	}
	if _, err := io.WriteString(l.out, lines); err != nil {
		return 0, err
	}
	l.draw()
	return len(text), nil
}

// say prints a message above the status line.
func (l *statusLine) say(text string) { fmt.Fprintln(l, text) }

// end erases the line, until the next show.
func (l *statusLine) end() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.last != nil {
		io.WriteString(l.out, eraseLine)
		l.last = nil
	}
}

// Erase in line (ECMA-48, 8.3.41): from the cursor to the line's end.
const (
	eraseRest = "\x1b[K"
	eraseLine = "\r" + eraseRest
)

// draw writes over the old line first and then erases what is left of it, so that nothing flickers.
// The last column stays free: with a character there some terminals wrap.
func (l *statusLine) draw() {
	if l.last != nil {
		io.WriteString(l.out, "\r"+l.last.text(l.width()-1, l.peak.peak)+eraseRest)
	}
}

// peakHolder keeps a peak for as long as it takes to read it.
type peakHolder struct {
	peak  float64 // dB
	until time.Time
}

const peakHoldTime = 2 * time.Second // common practice: 1 to 3 s

func (h *peakHolder) add(now time.Time, peak float64) {
	if peak >= h.peak || !now.Before(h.until) {
		h.peak, h.until = peak, now.Add(peakHoldTime)
	}
}
