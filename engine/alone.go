// Alone and silent: parts of a map that a listener picks out or leaves out while it plays.

package engine

import (
	"math"
	"sync/atomic"
)

// Facet is what cycles of a map are told apart by.
type Facet uint8

// The facets. A cycle sounds where all four let it.
const (
	FacetLayer  Facet = iota // by the index of the layer in the map
	FacetStrand              // by the place of the bed in its cycle: the others' stretches go down
	FacetRank                // by the index in Map.Ranks
	FacetZone                // by the index in the map
	facets
)

// MostOfFacet is how many members of a facet can be told apart: what has a higher index always sounds.
const MostOfFacet = 256

// openSec is how long a cycle takes from sounding to silent and back.
const openSec = 0.02

// memberSet is a set of members of a facet: member m is bit m%64 of word m/64.
type memberSet [MostOfFacet / 64]uint64

func (s *memberSet) has(member int) bool { return s[member/64]>>(member%64)&1 != 0 }

func (s *memberSet) some() bool { return *s != memberSet{} }

// MemberSet is a set of members of a facet as it is kept: member m is bit m%64 of word m/64.
type MemberSet [MostOfFacet / 64]uint64

// atomicSet is a memberSet that several goroutines use.
type atomicSet [MostOfFacet / 64]atomic.Uint64

func (s *atomicSet) set(member int, on bool) {
	if member < 0 || member >= MostOfFacet {
		return
	}
	if bit := uint64(1) << (member % 64); on {
		s[member/64].Or(bit)
	} else {
		s[member/64].And(^bit)
	}
}

func (s *atomicSet) has(member int) bool {
	return member >= 0 && member < MostOfFacet && s[member/64].Load()>>(member%64)&1 != 0
}

func (s *atomicSet) load(into *memberSet) {
	for word := range s {
		into[word] = s[word].Load()
	}
}

func (s *atomicSet) store(from MemberSet) {
	for word := range s {
		s[word].Store(from[word])
	}
}

// picks are what was asked for.
type picks struct{ alone, silent [facets]atomicSet }

// picked is the same as the audio thread took it for one cell.
type picked struct {
	alone, silent [facets]memberSet
	some          bool    // anything at all is alone or silent
	strands       bool    // some strand is
	way           float64 // of the way between sounding and silent, in one frame
}

// SetAlone lets only the members of a facet sound that are set so, from the next cell on, within 20 ms; once none is,
// all do. It takes effect on sounding notes too, and stays when a map is loaded. Any goroutine.
func (e *Engine) SetAlone(of Facet, member int, on bool) { e.picks.alone[of].set(member, on) }

// SetSilent lets a member of a facet fall silent, or sound again, as SetAlone does. A member that is both alone and
// silent is silent. Any goroutine.
func (e *Engine) SetSilent(of Facet, member int, on bool) { e.picks.silent[of].set(member, on) }

// Alone says whether a member is set to sound alone. Any goroutine.
func (e *Engine) Alone(of Facet, member int) bool { return e.picks.alone[of].has(member) }

// Silent says whether a member is set silent. Any goroutine.
func (e *Engine) Silent(of Facet, member int) bool { return e.picks.silent[of].has(member) }

// SoundAll ends all that is alone or silent. Any goroutine.
func (e *Engine) SoundAll() {
	for of := range facets {
		for word := range e.picks.alone[of] {
			e.picks.alone[of][word].Store(0)
			e.picks.silent[of][word].Store(0)
		}
	}
}

// takePicks looks at what is asked for, once a cell. Audio thread.
func (e *Engine) takePicks() {
	before := e.picked
	e.loadPicks()
	for of := range facets {
		e.tellPicks(of, false, &before.alone[of], &e.picked.alone[of])
		e.tellPicks(of, true, &before.silent[of], &e.picked.silent[of])
	}
}

func (e *Engine) loadPicks() {
	p := &e.picked
	p.some, p.strands = false, false
	for of := range facets {
		e.picks.alone[of].load(&p.alone[of])
		e.picks.silent[of].load(&p.silent[of])
		if p.alone[of].some() || p.silent[of].some() {
			p.some = true
			p.strands = p.strands || of == FacetStrand
		}
	}
	p.way = 1 / (openSec * float64(e.now.cycles.Map.RateHz))
}

// lets is whether one facet lets a member sound: 1 or 0.
func (p *picked) lets(of Facet, member int) float64 {
	if member >= MostOfFacet {
		return 1
	}
	if p.silent[of].has(member) || p.alone[of].some() && !p.alone[of].has(member) {
		return 0
	}
	return 1
}

// openAt is how far a part is to sound at a frame of its voice, 0 to 1: in between where one bed goes over into the
// next and one of the two alone is to sound.
func (p *picked) openAt(n *note, part *part, frame int64) float64 {
	if !p.some {
		return 1
	}
	open := p.lets(FacetLayer, part.layer) * p.lets(FacetRank, n.on.rankOf[part.zone]) * p.lets(FacetZone, part.zone)
	if open == 0 || !p.strands {
		return open
	}
	cycle := n.on.cycles.Cycle(part.zone, part.layer)
	bed, next, over := cycle.BedsAt(part.startFrame + frame)
	now := p.lets(FacetStrand, bed)
	return now + over*(p.lets(FacetStrand, next)-now)
}

// moveOpen moves a part on by so many frames towards what is to sound, and gives its gains at both ends. A part that
// has just begun begins there. Audio thread.
func (p *picked) moveOpen(n *note, part *part, frames int) (gain0, gain1 float64) {
	if !p.some && part.open == 1 {
		return 1, 1
	}
	if part.open == unopened {
		part.open = p.openAt(n, part, part.voice.Frame)
	}
	from := part.open
	to := p.openAt(n, part, part.voice.Frame+int64(uint64(frames)*part.voice.Step>>32))
	way := p.way * float64(frames)
	part.open = min(max(to, from-way), from+way)
	return openGain(from), openGain(part.open)
}

// unopened is what open is before a part has sounded.
const unopened = -1

// openGain leads from 0 to 1 along a raised cosine: no corner of it is heard.
func openGain(open float64) float64 {
	switch open {
	case 0, 1:
		return open
	}
	return (1 - math.Cos(math.Pi*open)) / 2
}
