// Following a map: notes that sound move on to the one that was loaded, by a crossfade at the same places of their
// cycles.

package engine

import (
	"slices"

	"lapstrake/mapping"
)

// followSec is how long the crossfade takes from the old map to the new one.
const followSec = 0.3

// Follow says whether held notes move on to maps that are loaded; without it they end on the map they began on, unless
// Exchange, Undo, Nudge or Instead brought it. Any goroutine.
func (e *Engine) Follow(on bool) { e.following.Store(on) }

// follow begins a successor for each held note that sounds on an older map, while there is room for it and for a key
// that is struck meanwhile. A successor waits in silence until its frames are there. Audio thread.
func (e *Engine) follow() {
	if len(e.playing) == 1 {
		return
	}
	for i, n := range e.sounding {
		if n.follows != nil {
			e.takeOver(i, n)
		}
	}
	e.adoptVariants()
	all := e.follows || e.drawn
	for _, n := range e.sounding {
		places, _ := e.placesOf(e.now, e.shifted(n.channel, n.key))
		if (all || n.on.number == e.now.number) && n.on != e.now && n.held() && !n.followed && len(places) > 0 &&
			len(e.free) >= 2*len(places) && len(e.idle) > 1 {
			e.beginSuccessor(n, places)
		}
	}
}

// beginSuccessor makes the note that old moves on to.
func (e *Engine) beginSuccessor(old *note, places []placed) {
	n := e.newNote(old.channel, old.key, old.velocity)
	_, ownPitch := e.placesOf(e.now, e.shifted(old.channel, old.key))
	n.pressure = old.pressure
	e.pitchNote(n, ownPitch)
	n.beganFrame, n.follows, old.followed = old.beganFrame, old, true
	for _, at := range places {
		p := e.takePart(n, at)
		p.flow = 0
		cycle := n.on.cycles.Cycle(at.zone, at.layer)
		p.startFrame, p.cycleFrames = cycle.StartFrame(0), cycle.Frames
		if from := e.counterpart(old, n.on.cycles.Map, at); from != nil {
			at := (from.startFrame + from.voice.Frame + e.nudgedBy(old, at.zone, from)) % from.cycleFrames
			if from.cycleFrames != cycle.Frames {
				at = cycle.StartFrame(float64(at) / float64(from.cycleFrames))
			}
			p.startFrame, p.voice.Fraction = at, from.voice.Fraction
		}
		p.feed.StartAhead(cycle, p.startFrame, p.voice.Step)
	}
}

// counterpart is the part of an old note in the rank and layer that a place of the new map has, or nil.
func (e *Engine) counterpart(old *note, m *mapping.Map, at placed) *part {
	before := old.on.cycles.Map
	for _, i := range old.parts {
		p := &e.parts[i]
		if before.Zones[p.zone].Rank == m.Zones[at.zone].Rank && before.Layers[p.layer] == m.Layers[at.layer] {
			return p
		}
	}
	return nil
}

// takeOver begins the crossfade once all frames of a successor come, and lets it go when the note before it has ended.
func (e *Engine) takeOver(at int, n *note) {
	old := n.follows
	if !old.held() {
		n.follows, old.followed = nil, false // its envelope has not begun: it ends with this cell
		return
	}
	if e.guide == nil {
		n.mayGoOver = !slices.ContainsFunc(n.parts, func(i int32) bool { return e.parts[i].flow < 1 })
	}
	if !n.mayGoOver {
		return
	}
	e.tell(Event{Frame: e.frame, Status: KindGoOver, Fine: uint32(at)})
	frames := int(followSec * float64(n.on.cycles.Map.RateHz))
	n.follows, n.down, n.captured = nil, old.down, old.captured
	n.envelope.AttackFrames = frames
	n.envelope.Begin()
	old.down, old.captured = false, false
	old.envelope.Fade(frames)
}
