// Zones nudged by keys of the terminal: chosen, moved step by step, taken back, kept.

package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"lapstrake/engine"
	"lapstrake/mapping"
)

// nudging is which zone the keys nudge, and what of it.
type nudging struct {
	zone  mapping.ZoneName // the first one under the last key where the map has no such zone
	what  int              // in nudgeKinds
	shown bool             // from the first use on

	ctx     context.Context // of what is being kept
	stop    context.CancelFunc
	keeping sync.WaitGroup
}

// nudgeKind is one thing about a zone that keys nudge.
type nudgeKind struct {
	step func(n *mapping.Nudge, way float64) // 1 up or −1 down, by the steps of the page's sliders
	text func(n mapping.Nudge) string
}

var nudgeKinds = []nudgeKind{
	{func(n *mapping.Nudge, way float64) {
		n.LevelDB = min(max(math.Round(2*n.LevelDB+way)/2, mapping.LeastNudgeDB), mapping.MostNudgeDB)
	}, func(n mapping.Nudge) string { return fmt.Sprintf("level %+.1f dB", n.LevelDB) }},
	{func(n *mapping.Nudge, way float64) {
		n.TuneCents = min(max(math.Round(n.TuneCents+way), -mapping.MostNudgeCents), mapping.MostNudgeCents)
	}, func(n mapping.Nudge) string { return fmt.Sprintf("tuning %+.0f cents", n.TuneCents) }},
	{func(n *mapping.Nudge, way float64) {
		n.Start = math.Mod(math.Round(100*n.Start+way)+100, 100) / 100
	}, func(n mapping.Nudge) string { return fmt.Sprintf("start at %.0f %% of a turn", 100*n.Start) }},
	{func(n *mapping.Nudge, way float64) {
		n.Silent = way < 0
	}, func(n mapping.Nudge) string {
		if n.Silent {
			return "silent"
		}
		return "sounds"
	}},
}

// openNudging begins with no zone chosen.
func (p *playing) openNudging() {
	p.nudging.ctx, p.nudging.stop = context.WithCancel(context.Background())
	p.closers = append(p.closers, func() error {
		p.nudging.stop()
		p.nudging.keeping.Wait()
		return nil
	})
}

// nudge does what a key asks of nudges. In a blind comparison it would tell which map plays.
func (p *playing) nudge(key playKey) {
	if p.blind.on {
		p.notice("which map plays is not told: until it is, no zone is nudged")
		return
	}
	switch key {
	case playNudgeBack:
		p.takeBack()
		return
	case playNudgeKeep:
		p.keepNudges()
		return
	}
	m := p.engine.Map()
	under := m.ZonesUnder(p.lastKey)
	at := m.ZoneNamed(p.nudging.zone)
	if key == playNudgeZone || at < 0 {
		if len(under) == 0 {
			p.notice("no key was struck yet whose zones could be nudged")
			return
		}
		at = under[(slices.Index(under, at)+1)%len(under)]
		p.nudging.zone = m.Zones[at].Name()
	}
	switch key {
	case playNudgeWhat:
		if p.nudging.shown {
			p.nudging.what = (p.nudging.what + 1) % len(nudgeKinds)
		}
	case playNudgeUp:
		p.moveZone(m.Zones[at].Nudge(), 1)
	case playNudgeDown:
		p.moveZone(m.Zones[at].Nudge(), -1)
	}
	p.tellNudge()
}

// moveZone nudges the chosen zone by a step.
func (p *playing) moveZone(from mapping.Nudge, way float64) {
	to := from
	if nudgeKinds[p.nudging.what].step(&to, way); to == from {
		return
	}
	if err := p.trial.Move(p.nudging.zone, to, true); err != nil {
		p.notice("%v", err)
	}
}

func (p *playing) takeBack() {
	zone, err := p.trial.Undo()
	if err != nil {
		p.notice("%v", err)
		return
	}
	p.nudging.zone = zone
	p.tellNudge()
}

// keepNudges writes what is tried once no command works on the project, and says so.
func (p *playing) keepNudges() {
	p.nudging.keeping.Go(func() {
		zones, err := p.trial.Keep(p.nudging.ctx)
		if err != nil {
			p.notice("%v", err)
			return
		}
		p.notice("%s kept in %s", count(zones, "zone"), mapping.FileName)
	})
}

// tellNudge shows the chosen zone from now on; where there is no screen, it says how it is.
func (p *playing) tellNudge() {
	p.nudging.shown = true
	if !p.line.draws() {
		p.notice("%s", p.nudgeText())
	}
}

// nudgeText is the chosen zone and what the keys nudge of it; "" until one is chosen, and in a blind comparison.
func (p *playing) nudgeText() string {
	if !p.nudging.shown || p.blind.on {
		return ""
	}
	m := p.engine.Map()
	at := m.ZoneNamed(p.nudging.zone)
	if at < 0 {
		return "z chooses a zone"
	}
	return p.memberName(engine.FacetZone, at) + ": " + nudgeKinds[p.nudging.what].text(m.Zones[at].Nudge())
}
