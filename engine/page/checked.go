// What check found, as the page shows it: read again whenever check has run, held against the files as they are.

package page

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"lapstrake/engine/check"
	"lapstrake/mapping/project"
)

// checkedTold is what the last run of check found in the map that is played.
type checkedTold struct {
	Error     string        `json:"error,omitempty"` // why that cannot be read
	Never     bool          `json:"never"`           // check has not run yet, or on another map
	CheckedMS int64         `json:"checkedMS"`       // when, in milliseconds of Unix time
	Verdict   check.Verdict `json:"verdict"`
	Parts     []partTold    `json:"parts"`
}

type partTold struct {
	Name     string         `json:"name"`
	About    string         `json:"about"`
	Verdict  check.Verdict  `json:"verdict"`
	Findings []findingTold  `json:"findings"`
	Figures  []check.Figure `json:"figures"`
	Drawings []check.Drawn  `json:"drawings"`
}

// findingTold is a finding, and what is heard when it is played; "" where it cannot be.
type findingTold struct {
	check.Finding
	Sounds string `json:"sounds"`
}

// checkingTold is how things stand with the checks.
type checkingTold struct {
	Can     bool     `json:"can"`     // a run can be asked for here
	Percent int      `json:"percent"` // of the run under way; -1: there is none
	Failed  string   `json:"failed,omitempty"`
	Changed []string `json:"changed"` // files that are not those any more that were checked
}

// checkedWatch keeps what was told of the checks.
type checkedWatch struct {
	stamp     fileStamp // of what was read last; watchChecked's own
	rendering sync.Mutex

	mu       sync.Mutex
	shown    *check.Shown
	checking checkingTold
	running  bool
	plays    int  // findings that are being played
	dynamics byte // before the first of them
}

const checkedInterval = time.Second

// watchChecked puts on the board what check found, for as long as there are visitors.
func (p *Page) watchChecked() {
	ticker := time.NewTicker(checkedInterval)
	defer ticker.Stop()
	p.checked.checking = checkingTold{Can: p.settings.Check != nil, Percent: -1, Changed: []string{}}
	told := false
	for {
		if p.Visitors() > 0 {
			if stamp := stampOf(p.lastShownPath()); stamp != p.checked.stamp || !told {
				p.checked.stamp, told = stamp, true
				p.Tell("checked", p.readChecked())
			}
			p.compareChecked()
		}
		select {
		case <-p.ended.Done():
			return
		case <-ticker.C:
		}
	}
}

func (p *Page) lastShownPath() string {
	return filepath.Join(p.settings.Dir, project.CheckedFolder, check.ShownFile)
}

func stampOf(path string) fileStamp {
	info, err := os.Stat(path)
	if err != nil {
		return fileStamp{}
	}
	return fileStamp{info.ModTime(), info.Size()}
}

// readChecked reads what the last run left.
func (p *Page) readChecked() checkedTold {
	report, shown, err := check.LastShown(p.settings.Dir)
	told := checkedTold{Parts: []partTold{}}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		told.Never = true
	case err != nil:
		told.Error = err.Error()
	case shown.Of.Map != filepath.Base(p.settings.MapPath):
		told.Never, shown = true, nil
	default:
		told.Verdict, told.CheckedMS = report.Verdict, p.checked.stamp.modified.UnixMilli()
		for _, part := range report.Parts {
			one := partTold{part.Name, part.About, part.Verdict, []findingTold{}, part.Figures,
				shown.Drawings[part.Name]}
			for _, f := range part.Findings {
				one.Findings = append(one.Findings, findingTold{f, shown.Sounds[f.ID].Name})
			}
			if one.Drawings == nil {
				one.Drawings = []check.Drawn{}
			}
			told.Parts = append(told.Parts, one)
		}
	}
	p.checked.mu.Lock()
	defer p.checked.mu.Unlock()
	p.checked.shown = shown
	return told
}

// compareChecked tells which files have changed since they were checked.
func (p *Page) compareChecked() {
	p.checked.mu.Lock()
	shown := p.checked.shown
	p.checked.mu.Unlock()
	changed := []string{}
	if shown != nil {
		found, err := shown.Of.Changed(p.settings.Dir)
		if err != nil {
			return // it is being written
		}
		changed = append(changed, found...)
	}
	p.tellChecking(func(told *checkingTold) { told.Changed = changed })
}

func (p *Page) tellChecking(change func(*checkingTold)) {
	p.checked.mu.Lock()
	change(&p.checked.checking)
	told := p.checked.checking
	p.checked.mu.Unlock()
	p.Tell("checking", told)
}

// check starts a run of the checks, unless one is under way.
func (v *visitor) check(_ context.Context, body []byte) error {
	var m struct {
		Do string `json:"do"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	p := v.page
	if p.settings.Check == nil {
		return errors.New("the checks cannot be run from here")
	}
	p.checked.mu.Lock()
	defer p.checked.mu.Unlock()
	if p.checked.running {
		return nil
	}
	p.checked.running = true
	p.working.Go(func() {
		p.tellChecking(func(told *checkingTold) { told.Percent, told.Failed = 0, "" })
		err := p.settings.Check(p.ended, func(percent int) {
			p.tellChecking(func(told *checkingTold) { told.Percent = percent })
		})
		p.tellChecking(func(told *checkingTold) {
			if told.Percent = -1; err != nil {
				told.Failed = err.Error()
			}
			p.checked.running = false
		})
	})
	return nil
}
