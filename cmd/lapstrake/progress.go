// A bar that shows how far long work is.

package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"
)

// progress is a bar on a terminal for work longer than a second, or lines for a program that reads them.
type progress struct {
	out     io.Writer // nil where there is no terminal
	lines   io.Writer // nil where no program reads
	percent int       // in the last line
	label   string
	began   time.Time
	shown   time.Time
}

// progressLine is how a line tells how far the work is.
const progressLine = "progress %d %%"

func newProgress(out io.Writer, label string) *progress {
	p := &progress{label: label, began: time.Now()}
	if isTerminal(out) {
		p.out = out
	}
	return p
}

func isTerminal(out io.Writer) bool {
	file, ok := out.(*os.File)
	return ok && term.IsTerminal(int(file.Fd()))
}

const barWidth = 40

// show draws the bar at part, 0 to 1, ten times a second at most.
func (p *progress) show(part float64) {
	if percent := int(100 * part); p.lines != nil && percent != p.percent {
		p.percent = percent
		fmt.Fprintf(p.lines, progressLine+"\n", percent)
	}
	if now := time.Now(); p.out != nil && now.Sub(p.began) > time.Second && now.Sub(p.shown) > 100*time.Millisecond {
		p.shown = now
		full := int(min(max(part, 0), 1) * barWidth)
		bar := strings.Repeat("=", full) + strings.Repeat(" ", barWidth-full)
		fmt.Fprintf(p.out, "\r%s [%s] %3.0f %%", p.label, bar, 100*part)
	}
}

// end clears the bar.
func (p *progress) end() {
	if !p.shown.IsZero() {
		fmt.Fprintf(p.out, "\r%s\r", strings.Repeat(" ", barWidth+len(p.label)+10))
	}
}
