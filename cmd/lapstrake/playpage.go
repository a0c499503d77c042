// The page of a run of play.

package main

import (
	"path/filepath"
	"slices"
	"time"

	"lapstrake/engine/live"
	"lapstrake/engine/mark"
	"lapstrake/engine/page"
	"lapstrake/mapping/project"
)

// mostMarksShown is how many marks the page lists.
const mostMarksShown = 100

// lookInterval is the time between two pictures on the page.
const lookInterval = 28 * time.Millisecond

// anyLoopback is what --page says without an address.
const anyLoopback = "127.0.0.1:0"

func (o *playOptions) pageAddress() (page.Address, error) {
	if o.pageOpen && o.page == "" {
		return page.Address{}, wrongWords("--page-open is for --page=HOST:PORT")
	}
	address, err := page.ParseAddress(o.page, o.pageOpen)
	if _, wrong := page.ParseAddress(o.page, true); err != nil && wrong == nil {
		return page.Address{}, wrongWords("--page %v; --page-open serves it there all the same", err)
	}
	if err != nil {
		return page.Address{}, wrongWords("--page %v", err)
	}
	return address, nil
}

// openPage serves the page if it was asked for, and says where.
func (p *playing) openPage() error {
	if p.options.page == "" {
		return nil
	}
	address, err := p.options.pageAddress()
	if err != nil {
		return err
	}
	dir := filepath.Dir(p.path)
	title := projectName(dir)
	if settings, err := project.Load(dir); err == nil && settings.Project.Title != "" {
		title = settings.Project.Title
	}
	p.page, err = page.Open(page.Settings{Address: address, Title: title, Dir: dir, MapPath: p.path, Engine: p.engine,
		Arrivals: p.arrivals, Teller: p.teller, Trial: p.trial, Channel: p.channel(), Check: p.checkCalmly})
	if err != nil {
		return err
	}
	p.closers = append(p.closers, p.page.Close)
	if !address.Loopback() {
		p.notice("The page can be reached from other machines. What goes there is not encrypted: whoever is on the " +
			"way can read it, take the token and play.")
	}
	p.notice("the page: %s", p.page.URL())
	if !p.options.noOpen && isTerminal(p.out) && openAddress(p.page.OnceURL()) {
		p.notice("it opens in your browser; --no-open leaves that to you")
	}
	p.showMarks()
	return nil
}

// showMarks shows the page the moments that were marked, the newest first.
func (p *playing) showMarks() {
	if p.page == nil {
		return
	}
	rows, err := mark.ReadRows(filepath.Dir(p.path))
	if err != nil {
		p.notice("the marks are not shown on the page: %v", err)
		return
	}
	slices.Reverse(rows)
	p.page.Tell("marks", list(rows[:min(len(rows), mostMarksShown)]))
}

// pageWork gives the loop the page's ticks and asks, which never come without a page.
func (p *playing) pageWork() (looks <-chan time.Time, asks <-chan page.Ask, stop func()) {
	if p.page == nil {
		return nil, nil, func() {}
	}
	p.tap = p.player.Tap()
	ticker := time.NewTicker(lookInterval)
	return ticker.C, p.page.Asks(), ticker.Stop
}

// showPage shows the page how things stand.
func (p *playing) showPage() {
	figures := p.player.Figures()
	p.unshown.note(&figures)
	p.unseen.take(&figures)
	look := page.Look{Figures: figures, TruePeakDBTP: p.tap.TruePeakDBTP(), OutputDB: p.outputDB,
		Underruns: p.keeper.Underruns(), Latch: p.player.Latch.On(), Recording: p.recorder != nil && !p.recordGone,
		Maps: page.Maps{Two: p.against != "", Text: p.againstText(), Blind: p.blind.on}}
	if p.rebuilder != nil {
		_, look.Building = p.rebuilder.Percent()
	}
	p.page.Show(look)
}

// answer does what a visitor of the page asked of the player.
func (p *playing) answer(ask page.Ask) {
	switch ask.Kind {
	case page.AskLatch:
		p.latch(ask.On)
	case page.AskSilence:
		p.serve(playSilence)
	case page.AskStrike:
		p.serve(playStrike)
	case page.AskCounts:
		p.serve(playResetCounts)
	case page.AskOther:
		p.serve(playExchange)
	case page.AskTell:
		p.serve(playBlind)
	case page.AskDry:
		p.serve(playDry)
	case page.AskSound:
		p.player.PlayDry(ask.Stereo)
	case page.AskMark:
		p.mark(ask.Text)
	case page.AskLevel:
		p.setOutput(ask.DB)
	}
}

// highest keeps what is highest since a time for one of several that ask for figures.
type highest struct{ peakDBFS, reductionDB float64 }

var lowest = highest{peakDBFS: -120}

func (h *highest) note(f *live.Figures) {
	h.peakDBFS, h.reductionDB = max(h.peakDBFS, f.PeakDBFS), max(h.reductionDB, f.ReductionDB)
}

func (h *highest) take(f *live.Figures) {
	h.note(f)
	f.PeakDBFS, f.ReductionDB = h.peakDBFS, h.reductionDB
	*h = lowest
}
