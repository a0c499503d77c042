// Zones nudged on the page: tried one after the other, taken back, kept.

package page

import (
	"context"
	"errors"
	"sync"
	"time"

	"lapstrake/mapping"
)

const (
	nudgePause = 25 * time.Millisecond // between two looks: sliders move faster
	mostNudges = 64                    // that wait
)

// nudgesTold is what is tried on the map that plays.
type nudgesTold struct {
	Tried []int `json:"tried"` // zones that are not as in the file
	Steps int   `json:"steps"` // that can be taken back
}

// nudgedTold says what became of a wish: of what and what is wrong, or what has come of it.
type nudgedTold struct {
	What  string `json:"what"` // nudge, back or keep
	Zone  string `json:"zone,omitempty"`
	Zones int    `json:"zones,omitempty"` // kept
	File  string `json:"file,omitempty"`
	Error string `json:"error,omitempty"`
}

// nudgeWish is one thing to be done with nudges.
type nudgeWish struct {
	by      *visitor
	what    string
	zone    mapping.ZoneName
	to      mapping.Nudge
	settled bool
}

// nudgeQueue is what waits to be done with nudges.
type nudgeQueue struct {
	mu      sync.Mutex
	waiting []nudgeWish
	news    chan struct{}
}

// add puts a wish at the end. A slider's way counts by where it is now: what waits of it gives way.
func (q *nudgeQueue) add(wish nudgeWish) error {
	q.mu.Lock()
	defer q.mu.Unlock()
	last := len(q.waiting) - 1
	switch {
	case last >= 0 && wish.what == "nudge" && q.waiting[last].what == "nudge" && q.waiting[last].zone == wish.zone &&
		!q.waiting[last].settled:
		q.waiting[last] = wish
	case last+1 >= mostNudges:
		return errBusy
	default:
		q.waiting = append(q.waiting, wish)
	}
	select {
	case q.news <- struct{}{}:
	default:
	}
	return nil
}

func (q *nudgeQueue) take() (all []nudgeWish) {
	q.mu.Lock()
	defer q.mu.Unlock()
	all, q.waiting = q.waiting, nil
	return all
}

// nudge tries a zone of the map that plays otherwise.
func (v *visitor) nudge(_ context.Context, body []byte) error {
	var m struct {
		Do      string        `json:"do"`
		Zone    int           `json:"zone"`
		To      mapping.Nudge `json:"to"`
		Settled bool          `json:"settled"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	played := v.page.settings.Engine.Map()
	if err := within("zone", m.Zone, 0, len(played.Zones)-1); err != nil {
		return err
	}
	if _, err := played.Nudged(map[mapping.ZoneName]mapping.Nudge{played.Zones[m.Zone].Name(): m.To}); err != nil {
		return err
	}
	return v.page.nudges.add(nudgeWish{v, "nudge", played.Zones[m.Zone].Name(), m.To, m.Settled})
}

// wishing makes a doing of a wish that says nothing more.
func wishing(what string) func(*visitor, context.Context, []byte) error {
	return func(v *visitor, _ context.Context, body []byte) error {
		var m struct {
			Do string `json:"do"`
		}
		if err := reading(body, &m); err != nil {
			return err
		}
		return v.page.nudges.add(nudgeWish{by: v, what: what})
	}
}

// tryOut does what is wished of nudges, one after the other, until the page ends.
func (p *Page) tryOut() {
	for {
		select {
		case <-p.ended.Done():
			return
		case <-p.nudges.news:
		}
		for _, wish := range p.nudges.take() {
			told := nudgedTold{What: wish.what}
			if err := p.grant(&wish, &told); err != nil {
				told.Error = err.Error()
			}
			if told.Error != "" || wish.what != "nudge" {
				wish.by.tell("nudged", told)
			}
		}
		if p.tellNudges() {
			p.wake()
		}
		select {
		case <-p.ended.Done():
			return
		case <-time.After(nudgePause):
		}
	}
}

func (p *Page) grant(wish *nudgeWish, told *nudgedTold) (err error) {
	trial := p.settings.Trial
	switch wish.what {
	case "nudge":
		return trial.Move(wish.zone, wish.to, wish.settled)
	case "back":
		wish.zone, err = trial.Undo()
		if err == nil {
			m := p.settings.Engine.Map()
			told.Zone = wish.zone.Rank + " " + m.MiddleC.Name(wish.zone.Root)
		}
		return err
	case "keep":
		told.File = mapping.FileName
		told.Zones, err = trial.Keep(p.ended)
		return err
	}
	return errors.New("nobody knows how to do that with nudges")
}

// tellNudges tells all visitors what is tried. It says whether that is new.
func (p *Page) tellNudges() bool {
	e := p.settings.Engine
	told := nudgesTold{Tried: []int{}, Steps: p.settings.Trial.Steps()}
	tried, m := e.Nudges(), e.Map()
	for i := range m.Zones {
		if _, found := tried[m.Zones[i].Name()]; found {
			told.Tried = append(told.Tried, i)
		}
	}
	return p.board.tell("nudges", told)
}
