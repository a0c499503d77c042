// What takes longer than a picture may: who is heard, when the chord comes back, what the map holds.

package page

import (
	"math"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/stream"
	"lapstrake/mapping/pages"
)

const thinkInterval = 200 * time.Millisecond

// think puts on the board what visitors are told as text, for as long as there are any.
func (p *Page) think() {
	ticker := time.NewTicker(thinkInterval)
	defer ticker.Stop()
	var sound engine.Snapshot
	var told chord
	var toldMap *stream.Cycles
	toldOne := false
	for {
		select {
		case <-p.ended.Done():
			return
		case <-ticker.C:
		}
		if p.Visitors() == 0 {
			continue
		}
		isNew := false
		number, cycles := p.settings.Engine.Latest()
		if cycles != toldMap { // a nudge makes others
			toldMap = cycles
			isNew = p.board.tell("map", pages.Describe(p.settings.Title, number, cycles.Map, turnsOf(cycles)))
			p.lookAparts()
			p.tellAparts()
		}
		isNew = p.tellNudges() || isNew
		if chord := p.chord.now(); !toldOne || !chord.equal(&told) {
			told, toldOne = chord, true
			isNew = p.board.tell("returns", chord.returns(cycles.Map.RateHz)) || isNew
		}
		isNew = p.tellPicks() || isNew
		if p.sheet.changed(p.settings.Dir, time.Now()) {
			told := readSheet(p.settings.Dir)
			p.sheet.keep(told.files)
			isNew = p.board.tell("sheet", told) || isNew
		}
		p.settings.Engine.Snapshot(&sound)
		isNew = p.board.tell("heard", p.heard(&sound)) || isNew
		if isNew {
			p.wake()
		}
	}
}

// turnsOf are those of a map's cycles.
func turnsOf(cycles *stream.Cycles) func(zone, layer int) pages.Turn {
	return func(zone, layer int) pages.Turn {
		cycle := cycles.Cycle(zone, layer)
		return pages.Turn{CycleLength: cycle.CycleLength, Begins: cycle.BedBegins()}
	}
}

// heardTold is who stands out now.
type heardTold struct {
	Reading bool       `json:"reading"` // the ledger is not there yet
	Error   string     `json:"error,omitempty"`
	Unknown []string   `json:"unknown"` // beds of which nothing is known
	Takes   []takeTold `json:"takes"`   // the loudest first
}

type takeTold struct {
	Name   string      `json:"name"`
	Title  string      `json:"title"` // as the sheet has it, or ""
	Who    string      `json:"who"`   // whom people read
	ByDB   float64     `json:"byDB"`  // how far it stands out, where it does most
	Sones  float64     `json:"sones"`
	Places []placeTold `json:"places"`
}

// placeTold is one bed of a sounding cycle.
type placeTold struct {
	Key   int `json:"key"`
	Zone  int `json:"zone"`
	Layer int `json:"layer"`
	Bed   int `json:"bed"`
}

func (p *Page) heard(sound *engine.Snapshot) heardTold {
	told := heardTold{Unknown: []string{}, Takes: []takeTold{}}
	ledger, _, err := p.settings.Teller.Ledger()
	if err != nil {
		told.Error = err.Error()
		return told
	}
	if ledger == nil {
		told.Reading = true
		return told
	}
	told.Unknown = append(told.Unknown, ledger.Unknown...)
	told.Takes = byName(p.settings.Teller.Now(sound.Cycles), sound.Cycles)
	return told
}

// byName puts together what is heard of a take in several cycles.
func byName(all []audible.Take, cycles []engine.SoundingCycle) []takeTold {
	takes, at := []takeTold{}, map[string]int{}
	for i := range all {
		t := &all[i]
		n, found := at[t.Name]
		if !found {
			n = len(takes)
			at[t.Name] = n
			takes = append(takes, takeTold{Name: t.Name, Title: t.Title, Who: t.Who(), ByDB: math.Inf(-1)})
		}
		c := &cycles[t.Cycle]
		takes[n].ByDB = max(takes[n].ByDB, math.Round(10*t.ByDB)/10)
		takes[n].Sones += t.Sones
		takes[n].Places = append(takes[n].Places, placeTold{c.Key, c.Zone, c.Layer, t.Bed})
	}
	for i := range takes {
		takes[i].Sones = math.Round(100*takes[i].Sones) / 100
	}
	return takes
}
