// What a visitor does with takes: hears them, edits cells of the sheet, takes that back.

package page

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// desk is where the sheet is worked on: one thing after the other.
type desk struct {
	mu      sync.Mutex
	waiting sync.Mutex
	count   int                // of what waits, guarded by waiting
	undo    [][]takes.CellEdit // the newest last

	wanted  int // number of the newest take that somebody asked to hear, guarded by waiting
	sounds  []beds.HeardTake
	soundOf string // take, bed and state of the sheet that sounds are of
}

const (
	mostUndo    = 200
	mostWaiting = 32
	lockPause   = 100 * time.Millisecond
	lockTries   = 300 // a build takes a while
)

// errBusy is told where too much waits already.
var errBusy = errors.New("more waits than can be done: wait a moment")

// atDesk does work when all before it is done, unless the page ends.
func (p *Page) atDesk(work func()) error {
	p.desk.waiting.Lock()
	defer p.desk.waiting.Unlock()
	if p.desk.count >= mostWaiting {
		return errBusy
	}
	p.desk.count++
	p.working.Go(func() {
		p.desk.mu.Lock()
		defer p.desk.mu.Unlock()
		if p.ended.Err() == nil {
			work()
		}
		p.desk.waiting.Lock()
		defer p.desk.waiting.Unlock()
		p.desk.count--
	})
	return nil
}

// editedTold says what became of an edit.
type editedTold struct {
	Take   string `json:"take"`
	Column string `json:"column"`
	Undone bool   `json:"undone"`
	Error  string `json:"error,omitempty"`
}

// edit changes a cell of the sheet.
func (v *visitor) edit(_ context.Context, body []byte) error {
	var m struct {
		Do     string `json:"do"`
		Take   string `json:"take"`
		Column string `json:"column"`
		From   string `json:"from"`
		To     string `json:"to"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	return v.page.atDesk(func() {
		undo, err := v.page.editSheet([]takes.CellEdit{{Take: m.Take, Column: m.Column, From: m.From, To: m.To}})
		told := editedTold{Take: m.Take, Column: m.Column}
		if err != nil {
			told.Error = err.Error()
		} else {
			d := &v.page.desk
			if d.undo = append(d.undo, undo); len(d.undo) > mostUndo {
				d.undo = d.undo[1:]
			}
		}
		v.tell("edited", told)
	})
}

// takeBack undoes the newest edit that was made on the page.
func (v *visitor) takeBack(_ context.Context, body []byte) error {
	var m struct {
		Do string `json:"do"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	return v.page.atDesk(func() {
		d := &v.page.desk
		if len(d.undo) == 0 {
			v.tell("edited", editedTold{Error: "nothing was edited here that could be taken back"})
			return
		}
		last := d.undo[len(d.undo)-1]
		d.undo = d.undo[:len(d.undo)-1] // one that cannot be undone will not be later either
		told := editedTold{Take: last[0].Take, Column: last[0].Column, Undone: true}
		if _, err := v.page.editSheet(last); err != nil {
			told.Error = err.Error()
		}
		v.tell("edited", told)
	})
}

// editSheet changes cells while no command works on the project.
func (p *Page) editSheet(edits []takes.CellEdit) (undo []takes.CellEdit, err error) {
	dir := p.settings.Dir
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	for try := range lockTries {
		release, err := project.Lock(dir, "play --page")
		if inUse := (*project.InUseError)(nil); errors.As(err, &inUse) && try < lockTries-1 {
			select {
			case <-p.ended.Done():
				return nil, err
			case <-time.After(lockPause):
			}
			continue
		}
		if err != nil {
			return nil, err
		}
		defer release()
		break
	}
	return takes.EditSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings), edits)
}

// hear plays a take in place of the music.
func (v *visitor) hear(ctx context.Context, body []byte) error {
	var m struct {
		Do      string       `json:"do"`
		Take    string       `json:"take"`
		Version beds.Version `json:"version"`
		Bed     string       `json:"bed"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	d := &v.page.desk
	d.waiting.Lock()
	d.wanted++
	wanted := d.wanted
	d.waiting.Unlock()
	return v.page.atDesk(func() {
		d.waiting.Lock()
		newest := wanted == d.wanted
		d.waiting.Unlock()
		if !newest {
			return // somebody has gone on to another take
		}
		sound, err := v.page.takeSound(m.Take, m.Version, m.Bed)
		if err != nil {
			v.tell("hearing", map[string]string{"take": m.Take, "version": string(m.Version), "error": err.Error()})
			return
		}
		v.ask(ctx, Ask{Kind: AskSound, Stereo: sound.AtRate(v.page.settings.Engine.Map().RateHz)})
		v.tell("hearing", map[string]string{"take": m.Take, "version": string(m.Version)})
	})
}

// takeSound is a take in a version, as loud as its others.
func (p *Page) takeSound(take string, version beds.Version, bed string) (*beds.HeardTake, error) {
	d, wanted := &p.desk, beds.Versions
	if version != beds.Alone { // for which the whole bed has to be arranged
		wanted = slices.DeleteFunc(slices.Clone(wanted), func(v beds.Version) bool { return v == beds.Alone })
	}
	of := fmt.Sprint(take, "\n", bed, "\n", p.sheet.state(), "\n", wanted)
	if d.soundOf != of {
		all, err := beds.Hear(p.settings.Dir, take, bed, wanted)
		for fewer := len(wanted) - 1; err != nil && fewer > 0; fewer-- { // no bed, or one that is not built yet
			if !slices.Contains(wanted[:fewer], version) {
				return nil, err
			}
			all, err = beds.Hear(p.settings.Dir, take, bed, wanted[:fewer])
		}
		if err != nil {
			return nil, err
		}
		d.sounds, d.soundOf = all, of
	}
	for i := range d.sounds {
		if d.sounds[i].Version == version {
			return &d.sounds[i], nil
		}
	}
	d.soundOf = "" // it is to be tried anew
	return nil, fmt.Errorf("%s cannot be heard in the version %q: expected one of %v", take, version, beds.Versions)
}
