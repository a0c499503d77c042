// The trail: what a player must remember all the time, so that a moment can be marked.

package mark

import (
	"errors"
	"slices"
	"sync"
	"time"

	"lapstrake/engine"
)

// collectTime is the time between two looks at the engine.
const collectTime = 100 * time.Millisecond

// Trail remembers the last seconds of a player: moments, and all messages since the first of them.
type Trail struct {
	engine  *engine.Engine
	applied *engine.QueueOut
	frames  int64 // that the oldest moment is back at least, where there is one

	mu      sync.Mutex
	moments []engine.Moment // the oldest first
	events  []engine.Event
	untold  int64
	turned  int64 // the last frame at which another map was taken up; −1: none
	newest  engine.Moment

	stop chan struct{}
	done chan struct{}
}

// NewTrail follows a player that has not begun yet. Applied is an end of one of its Settings.Applied, and the trail's
// alone.
func NewTrail(e *engine.Engine, applied *engine.QueueOut) *Trail {
	t := &Trail{engine: e, applied: applied, turned: -1, stop: make(chan struct{}), done: make(chan struct{})}
	t.frames = int64((KeptSec + engine.SettleSec) * float64(e.Map().RateHz))
	t.collect()
	go t.run()
	return t
}

// Close ends the following.
func (t *Trail) Close() error {
	close(t.stop)
	<-t.done
	return nil
}

func (t *Trail) run() {
	defer close(t.done)
	ticker := time.NewTicker(collectTime)
	defer ticker.Stop()
	for {
		select {
		case <-ticker.C:
			t.mu.Lock()
			t.collect()
			t.mu.Unlock()
		case <-t.stop:
			return
		}
	}
}

// collect takes what is new and lets go of what is too old.
func (t *Trail) collect() {
	t.engine.Moment(&t.newest)
	for event, some := t.applied.Peek(); some; event, some = t.applied.Peek() {
		t.applied.Pop()
		switch {
		case event.Status == engine.KindMap: // what was before cannot be played on one map
			t.turned = event.Frame
			t.moments = slices.DeleteFunc(t.moments, func(m engine.Moment) bool { return m.Frame <= event.Frame })
			continue
		case event.IsTurn() && event.Status != engine.KindPick:
			continue
		}
		t.events = append(t.events, event)
	}
	// some are missing: nothing from before can be played again
	if untold := t.engine.Stats().Untold; untold != t.untold {
		t.untold, t.moments = untold, t.moments[:0]
	}
	if n := len(t.moments); t.newest.Frame > t.turned && (n == 0 || t.moments[n-1].Frame < t.newest.Frame) {
		t.moments = append(t.moments, engine.Moment{})
		copyMoment(&t.moments[n], &t.newest)
	}
	if len(t.moments) == 0 {
		return
	}
	old := 0
	for old+1 < len(t.moments) && t.moments[old+1].Frame <= t.newest.Frame-t.frames {
		old++
	}
	t.moments = slices.Delete(t.moments, 0, old)
	t.events = slices.DeleteFunc(t.events, func(e engine.Event) bool { return e.Frame < t.moments[0].Frame })
}

func copyMoment(to, from *engine.Moment) {
	*to = *from
	to.Notes, to.Parts = slices.Clone(from.Notes), slices.Clone(from.Parts)
}

var errReloaded = errors.New("the map was loaded anew this very second; mark again in a moment")

// now is the present frame with what sounds, and a moment before it with all messages from there on: one long enough
// before, if there is one since that variant of the map plays.
func (t *Trail) now(m *Mark, number int) (sounding engine.Snapshot, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.engine.Snapshot(&sounding)
	t.collect() // after the picture: all messages before it are there
	m.Frame = sounding.Frame
	best, some := -1, -1
	for i := range t.moments {
		if t.moments[i].MapNumber != number || t.moments[i].Frame > m.Frame {
			continue
		}
		some = i
		old := slices.ContainsFunc(t.moments[i].Notes, func(n engine.KeptNote) bool { return n.MapNumber != number })
		if !old && (best < 0 || t.moments[i].Frame <= m.Frame-t.frames) {
			best = i
		}
	}
	if best < 0 {
		best = some
	}
	if best < 0 {
		return sounding, errReloaded
	}
	copyMoment(&m.Begin, &t.moments[best])
	m.leaveOut(number)
	for _, e := range t.events {
		if e.Frame >= m.Begin.Frame && e.Frame < m.Frame {
			m.Events = append(m.Events, Event{e.Frame, [3]byte{e.Status, e.Data1, e.Data2}, e.Fine})
		}
	}
	return sounding, nil
}

// leaveOut takes away the notes that sound on maps from before number.
func (m *Mark) leaveOut(number int) {
	notes, parts := []engine.KeptNote{}, []engine.KeptPart{}
	left := m.Begin.Parts
	for _, n := range m.Begin.Notes {
		if n.MapNumber == number {
			n.MapNumber = 0
			notes, parts = append(notes, n), append(parts, left[:n.Parts]...)
		} else {
			m.LeftOut++
		}
		left = left[n.Parts:]
	}
	m.Begin.Notes, m.Begin.Parts, m.Begin.MapNumber = notes, parts, 0
}
