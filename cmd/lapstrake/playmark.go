// Marking a moment while playing.

package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"sync"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/mark"
)

// marking is what a run of play needs to mark moments.
type marking struct {
	trail   *mark.Trail
	player  mark.Player
	writing sync.Mutex     // one mark at a time
	pending sync.WaitGroup // marks that are not on the disk yet
}

// startMarking follows the engine, which has not begun to play.
func startMarking(mapPath string, e *engine.Engine, applied *engine.QueueOut, s engine.Settings,
	teller *audible.Teller) *marking {
	return &marking{
		trail:  mark.NewTrail(e, applied),
		player: mark.Player{Dir: filepath.Dir(mapPath), Engine: e, Teller: teller, Settings: s},
	}
}

// close waits until all marks are on the disk.
func (m *marking) close() error {
	m.pending.Wait()
	return m.trail.Close()
}

// mark keeps this moment with a remark, which may be empty. It says so once all is on the disk.
func (p *playing) mark(remark string) {
	m := p.marking
	taken, err := m.trail.Take(m.player)
	if err == nil {
		err = taken.Reserve(m.player.Dir)
	}
	if err != nil {
		p.notice("not marked: %v", err)
		return
	}
	row := mark.Row{Remark: remark}
	if p.recorder != nil {
		row.Performance = p.recorder.Files()[1]
		p.recorder.Mark(taken.Frame, strings.TrimSpace(fmt.Sprintf("mark %d %s", taken.Number, remark)))
	}
	m.pending.Go(func() {
		m.writing.Lock()
		defer m.writing.Unlock()
		kept, err := taken.Keep(m.player.Dir, row)
		if err != nil {
			p.notice("mark %d is not whole: %v", taken.Number, err)
			return
		}
		p.notice("mark %d: %s", kept.Number, markInWords(kept))
		p.showMarks()
	})
}

// markInWords says in a line what a mark holds.
func markInWords(r mark.Row) string {
	words := []string{fmt.Sprintf("dynamics %d", r.Dynamics)}
	if r.Keys != "" {
		words = append([]string{r.Keys}, words...)
	} else {
		words = append([]string{"nothing sounds"}, words...)
	}
	if r.Loudest != "" {
		words = append(words, "audible: "+r.Loudest)
	}
	return strings.Join(words, ", ")
}
