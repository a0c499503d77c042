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

// statusLine keeps one line, or the lines of the screen where they fit, up to date at the foot of a terminal, and
// prints messages above them.
// Where there is no terminal it says nothing while all is well; when underruns, late reads or read errors
// have risen it prints a plain line, ten seconds apart at least. It may be used from several goroutines.
type statusLine struct {
	out  io.Writer
	size func() (columns, rows int) // of the terminal, asked each time; nil without a terminal
	now  func() time.Time

	mu      sync.Mutex
	last    *status // nil: no line is drawn
	places  keyPlaces
	helps   bool   // the list of keys stands in the screen's place
	drawn   int    // lines that stand there
	drawnIn [2]int // columns and rows
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
	l := &statusLine{out: out, now: time.Now}
	if file, ok := out.(*os.File); ok && term.IsTerminal(int(file.Fd())) && os.Getenv("TERM") != "dumb" {
		l.size = func() (columns, rows int) {
			columns, rows, err := term.GetSize(int(file.Fd()))
			if err != nil || columns <= 0 {
				return 80, 1
			}
			return columns, rows
		}
	}
	return l
}

// draws says whether there is a terminal to draw on.
func (l *statusLine) draws() bool { return l.size != nil }

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
	if l.size == nil {
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
		fmt.Fprintf(l.out, "underruns %d, late reads %d, read errors %d, load %d %%, worst %d %%\n",
			s.underruns, s.misses, s.readErrors, s.loadPercent, s.worstLoad)
	}
}

// resetCounts makes what has been counted so far count as zero.
func (l *statusLine) resetCounts() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.counted, l.printed = l.latest, l.latest
}

// Write prints whole lines above the status line. On a terminal they have the time before them, are broken between
// words, and end in \r\n, as raw mode needs.
func (l *statusLine) Write(text []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	lines := strings.TrimSuffix(string(text), "\n") + "\n"
	if l.size != nil {
		columns, _ := l.size()
		lines = l.erased() + dated(l.now(), strings.TrimSuffix(lines, "\n"), columns-1)
	}
	if _, err := io.WriteString(l.out, lines); err != nil {
		return 0, err
	}
	l.draw()
	return len(text), nil
}

// say prints a message above the status line.
func (l *statusLine) say(text string) { fmt.Fprintln(l, text) }

// help shows the list of keys in place of the screen, or the screen again; above the line where the screen does not
// fit.
func (l *statusLine) help() {
	if !l.turnToHelp() {
		l.say(strings.Join(playKeysHelp(), "\n"))
	}
}

func (l *statusLine) turnToHelp() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.size == nil || l.last == nil {
		return false
	}
	columns, rows := l.size()
	if l.last.keyRowsIn(columns, rows) == 0 || rows < loudnessRows+len(playKeysHelp())+1 {
		return false
	}
	l.helps = !l.helps
	io.WriteString(l.out, l.erased())
	l.draw()
	return true
}

// end erases the lines, until the next show.
func (l *statusLine) end() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.last != nil {
		io.WriteString(l.out, l.erased())
		l.last = nil
	}
}

// Erase in line, erase in page, cursor up (ECMA-48, 8.3.41, 8.3.39, 8.3.22), and cursor to the first place (8.3.21).
const (
	eraseRest  = "\x1b[K"
	eraseBelow = "\x1b[J"
	eraseAll   = "\x1b[2J\x1b[H"
	cursorUp   = "\x1b[%dA"
)

// toTop leads from the end of what is drawn to its beginning.
func (l *statusLine) toTop() string {
	if l.drawn < 2 {
		return "\r"
	}
	return "\r" + fmt.Sprintf(cursorUp, l.drawn-1)
}

// erased takes away what is drawn, and forgets it.
func (l *statusLine) erased() string {
	if l.drawn == 0 {
		return ""
	}
	code := l.toTop() + eraseBelow
	l.drawn = 0
	return code
}

// draw writes over the old lines first and then erases what is left of them, so that nothing flickers.
// The last column stays free: with a character there some terminals wrap.
func (l *statusLine) draw() {
	if l.last == nil {
		return
	}
	columns, rows := l.size()
	var lines []string
	if keyRows := l.last.keyRowsIn(columns, rows); keyRows > 0 {
		held, more := l.places.place(l.last.heldKeys, keyRows)
		lines = l.last.screenLines(columns-1, held, more, l.peak.peak)
		if l.helps {
			lines = append(lines[:loudnessRows:loudnessRows], playKeysHelp()...)
		}
	} else {
		lines = []string{l.last.text(columns-1, l.peak.peak)}
	}
	code := l.toTop()
	if size := [2]int{columns, rows}; l.drawn > 0 && size != l.drawnIn && (l.drawn > 1 || len(lines) > 1) {
		code = eraseAll // a terminal of another size has wrapped or moved what stood there
	}
	l.drawnIn, l.drawn = [2]int{columns, rows}, len(lines)
	io.WriteString(l.out, code+strings.Join(lines, eraseRest+"\r\n")+eraseRest)
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

// dated is a message of several lines with the time before it, broken between words.
func dated(now time.Time, text string, columns int) string {
	const indent = "          "
	var out strings.Builder
	begin := padded(now.Format("15:04:05"), len(indent))
	for line := range strings.SplitSeq(text, "\n") {
		for {
			part, rest := brokenAt(line, max(columns-len(indent), 20))
			out.WriteString(begin + part + "\r\n")
			begin = indent
			if rest == "" {
				break
			}
			line = rest
		}
	}
	return out.String()
}

// brokenAt is as much of a line as fits into so many columns, to the last word that does, and the rest; a word that is
// longer stays whole.
func brokenAt(line string, columns int) (part, rest string) {
	if columnsOf(line) <= columns {
		return line, ""
	}
	end := -1
	for i, r := range line {
		if r == ' ' && (columnsOf(line[:i]) <= columns || end < 0) && strings.TrimSpace(line[:i]) != "" {
			end = i
		}
	}
	if end < 0 {
		return line, ""
	}
	return line[:end], strings.TrimLeft(line[end:], " ")
}
