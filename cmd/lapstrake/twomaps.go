// Maps that take each other's place: the one of --against, and the one before a reload.

package main

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"

	"lapstrake/engine/live"
	"lapstrake/mapping"
)

// blind is a comparison in which nobody is told which map plays.
type blind struct {
	on      bool
	crossed bool // the first map is called 2
	reloads int64
}

// paths are those of the maps that are played.
func (p *playing) paths() []string {
	if p.against == "" {
		return []string{p.path}
	}
	return []string{p.path, p.against}
}

// shortPath tells a map by its project's folder.
func shortPath(path string) string {
	if absolute, err := filepath.Abs(path); err == nil {
		path = absolute
	}
	if filepath.Base(path) == mapping.FileName {
		return filepath.Base(filepath.Dir(path))
	}
	return filepath.Base(path)
}

// reloaded says what became of a changed map or bed.
func (p *playing) reloaded(l live.Loaded) {
	if gone := (*live.GoneError)(nil); errors.As(l.Err, &gone) {
		p.notice("%v; what was loaded plays on", l.Err)
		return
	}
	if l.Err != nil {
		p.notice("not reloaded, the map from before plays on: %v", l.Err)
		return
	}
	p.reloads.Add(1)
	who := "the next notes play it"
	switch {
	case l.Path != p.paths()[p.engine.Side()]:
		who = "it is heard when the maps are exchanged"
	case p.following.Load():
		who = "held notes move on to it"
	}
	what := ""
	if differences := mapping.Differences(l.Before, l.Now); len(differences) > 0 {
		what = ", " + strings.Join(differences, ", ")
	}
	if len(l.Beds) > 0 {
		what += ", since " + named(l.Beds) + " changed"
	}
	name := filepath.Base(l.Path)
	if p.against != "" {
		name = filepath.Join(shortPath(l.Path), name)
	}
	for _, zone := range l.Dropped {
		what += fmt.Sprintf(", what was tried on rank %s, root %s gives way to it", zone.Rank,
			l.Now.MiddleC.Name(zone.Root))
	}
	p.notice("%s: reloaded%s; %s", name, what, who)
}

// undo goes back to the map before the last reload, or forth again.
func (p *playing) undo() {
	number, cycles := p.engine.Latest()
	if err := p.engine.Undo(); err != nil {
		p.notice("%v", err)
		return
	}
	which, what := "of the last reload", ""
	now, brought := p.engine.Latest()
	if now < number {
		which = "before the last reload"
	}
	if differences := mapping.Differences(cycles.Map, brought.Map); len(differences) > 0 {
		what = ": " + strings.Join(differences, ", ")
	}
	p.notice("the map %s plays%s; held notes move on to it", which, what)
}

// exchange plays the other one of two maps.
func (p *playing) exchange() {
	if p.against == "" {
		p.notice("there is one map: --against gives a second one to exchange it with")
		return
	}
	p.engine.Exchange()
	if !p.blind.on {
		p.notice("%s plays", shortPath(p.paths()[p.engine.Side()]))
	}
}

// blindOrTell begins a blind comparison, or ends it.
func (p *playing) blindOrTell() {
	switch {
	case p.against == "":
		p.notice("there is one map: --against gives a second one to hold against it")
	case p.blind.on:
		p.tellBlind()
	default:
		p.blind = blind{on: true, crossed: rand.IntN(2) == 1, reloads: p.reloads.Load()}
		if rand.IntN(2) == 1 {
			p.engine.Exchange()
		}
		p.notice("which map plays is not told from now on: they are called 1 and 2; e exchanges them, b tells")
	}
}

// blindName is what a side is called in a blind comparison.
func (p *playing) blindName(side int) int {
	if p.blind.crossed {
		side = 1 - side
	}
	return side + 1
}

// tellBlind ends a blind comparison.
func (p *playing) tellBlind() {
	if !p.blind.on {
		return
	}
	p.blind.on = false
	names := [3]string{}
	for side, path := range p.paths() {
		names[p.blindName(side)] = shortPath(path)
	}
	p.notice("1 was %s, 2 was %s; %s plays", names[1], names[2], shortPath(p.paths()[p.engine.Side()]))
}

// againstText tells how two maps stand against each other.
func (p *playing) againstText() string {
	if p.against == "" {
		return ""
	}
	side := p.engine.Side()
	if p.blind.on {
		return "map " + string(rune('0'+p.blindName(side))) + " plays, equally loud; e exchanges, b tells"
	}
	paths := p.paths()
	return shortPath(paths[side]) + " plays; e exchanges it for " + shortPath(paths[1-side]) + ", equally loud"
}
