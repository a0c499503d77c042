// Notes: how keys begin and end them, and how they make room for each other.

package engine

import (
	"slices"

	"lapstrake/mapping/sound"
	"lapstrake/voices"
)

// note is one press of a key: all the cycles it sounds, under one envelope.
type note struct {
	on         *instrument
	key        int
	channel    int // 0 to 15
	beganFrame int64
	parts      []int32
	envelope   voices.Envelope
	gain       float64  // velocity and headroom
	down       bool     // the key is down
	captured   bool     // by the sostenuto pedal
	velocity   int      // 1 to 127
	ratio      float64  // of speeds: that of pitch
	pitch      approach // semitones above the cycles' own, as tunings, parameters and a channel of its own have it
	ownPitch   float64  // of its cycles, in semitones of ISO 16
	place      approach // between the layers, 0 to 1, where it has its own
	pressure   int      // of its key, 0 to 127
	follows    *note    // the note on an older map that it waits to take over from
	followed   bool     // another one waits to take over from it
	mayGoOver  bool     // all its frames come
}

// held says whether a key or a pedal keeps the note sounding.
func (n *note) held() bool { return n.begun() && n.state() <= NotePedal }

// begun says whether the note sounds or ends: not while it waits to take over from another, nor in the cell in which
// it was let go before it could.
func (n *note) begun() bool { return !n.envelope.Ended() }

const stealSec = 0.005

// chordSec is how far apart the keys of one chord are struck at most.
const chordSec = 0.05

// leastCycles is how many cycles a note has room for at least, so that a
// reloaded map may sound more on a key than the first one.
const leastCycles = 32

func (e *Engine) makeNotes(count, most int) {
	most = max(most, leastCycles)
	e.notes = make([]note, count)
	e.sounding, e.idle = make([]*note, 0, count), make([]*note, 0, count)
	room := make([]int32, count*most)
	for i := range e.notes {
		e.notes[i].parts = room[i*most : i*most : (i+1)*most]
		e.idle = append(e.idle, &e.notes[i])
	}
}

func (e *Engine) noteOn(event Event) {
	of, key, velocity := int(event.Channel()), int(event.Data1&0x7F), int(event.Data2&0x7F)
	places, ownPitch := e.placesOf(e.now, e.shifted(of, key))
	if len(places) == 0 {
		e.stats.silentKeys[key/64].Or(1 << (key % 64))
		return
	}
	// A string that the sostenuto pedal keeps undamped stays so when it is struck again.
	captured := slices.ContainsFunc(e.sounding, func(n *note) bool { return e.same(n, of, key) && n.captured })
	e.release(func(n *note) bool { return e.same(n, of, key) })
	// Fading notes keep their parts to the end: what is not free now, fading more would not free.
	if len(e.free) < len(places) || len(e.idle) == 0 {
		e.stats.refused.Add(1)
		return
	}
	e.makeRoom(len(places))
	n := e.newNote(of, key, velocity)
	e.pitchNote(n, ownPitch)
	n.down, n.captured, n.beganFrame = true, captured, event.Frame
	n.envelope.Begin()
	for _, at := range places {
		e.startPart(n, at)
	}
	e.presses[key]++
}

// newNote makes a note on the present map, with no part yet and an envelope that has not begun. There must be room.
func (e *Engine) newNote(channel, key, velocity int) *note {
	m := e.now.cycles.Map
	n := e.idle[len(e.idle)-1]
	e.idle = e.idle[:len(e.idle)-1]
	*n = note{on: e.now, channel: channel, key: key, velocity: velocity, parts: n.parts[:0]}
	n.on.notes++
	n.gain = velocityGain(velocity, m.VelocityAmount) * sound.DBToAmplitude(-m.HeadroomDB) *
		e.trimGain()
	n.envelope.AttackFrames = int(m.AttackSec * float64(m.RateHz))
	n.envelope.ReleaseFrames = int(m.ReleaseSec * float64(m.RateHz))
	n.place = at(e.control.dynamics.value)
	if e.ownPlaces() {
		n.place = at(e.dynamicsOf(n))
	}
	e.sounding = append(e.sounding, n)
	return n
}

// pitchNote tells a new note of the pitch that its cycles have by themselves; it begins at the one that it is to have.
func (e *Engine) pitchNote(n *note, ownPitch float64) {
	n.ownPitch = ownPitch
	n.pitch = at(e.above(n))
	n.ratio = ratioOf(n.pitch.value)
}

// startPart begins a cycle from the start that the map gives it.
func (e *Engine) startPart(n *note, at placed) {
	p := e.takePart(n, at)
	m := n.on.cycles.Map
	start := m.Start(&m.Zones[at.zone], e.shifted(n.channel, n.key), e.presses[n.key])
	head := n.on.cycles.Head(at.zone, at.layer, start)
	p.startFrame, p.cycleFrames = head.StartFrame(), head.Cycle().Frames
	p.feed.Start(head, p.voice.Step)
}

// takePart gives a note a part for one more cycle, with no frames yet.
func (e *Engine) takePart(n *note, on placed) *part {
	i := e.free[len(e.free)-1]
	e.free = e.free[:len(e.free)-1]
	p := &e.parts[i]
	p.zone, p.layer, p.base, p.to, p.share, p.plain = on.zone, on.layer, on.base, on.base, at(on.gain), on.plain
	p.flow, p.fading, p.gain, p.open = 1, false, 0, unopened
	p.voice = voices.Voice{Step: bentStep(on.base, e.control.bendRatio()*n.ratio)}
	n.parts = append(n.parts, i)
	return p
}

// noteOff lifts a key. Its notes sound on under a pedal.
func (e *Engine) noteOff(of, key int) {
	for _, n := range e.sounding {
		if e.same(n, of, key) {
			n.down = false
		}
	}
	e.releaseLifted()
}

// releaseLifted releases every note whose key is up and that no pedal holds.
func (e *Engine) releaseLifted() {
	e.release(func(n *note) bool { return !n.down && !n.captured && !e.pedals(n.channel).hold })
}

func (e *Engine) release(which func(*note) bool) {
	for _, n := range e.sounding {
		if which(n) {
			n.down, n.captured = false, false
			n.envelope.Release()
		}
	}
}

func (e *Engine) fade(n *note) {
	n.down, n.captured = false, false
	n.envelope.Fade(int(stealSec * float64(n.on.cycles.Map.RateHz)))
}

// makeRoom fades notes until so many more cycles fit the map's polyphony.
func (e *Engine) makeRoom(cycles int) {
	for {
		kept := 0
		for _, n := range e.sounding {
			if !n.envelope.Fading() && n.begun() {
				kept += len(n.parts)
			}
		}
		victim := e.victim()
		if victim == nil || kept+cycles <= e.now.cycles.Map.Polyphony {
			return
		}
		e.fade(victim)
		e.stats.stolen.Add(1)
	}
}

// victim is the note that is missed least: of those released the quietest; without one, of those that only a pedal
// holds the oldest; without one, the oldest that its key holds. Of a chord struck together the quietest is taken.
func (e *Engine) victim() *note {
	var victim *note
	var chordEnd int64
	for _, n := range e.sounding { // the oldest first
		switch state := n.state(); {
		case state == NoteFading || !n.begun():
		case victim == nil || state > victim.state():
			victim, chordEnd = n, n.beganFrame+int64(chordSec*float64(n.on.cycles.Map.RateHz))
		case state < victim.state():
		case state == NoteReleased && n.level() < victim.level(),
			state != NoteReleased && n.beganFrame < chordEnd && n.gain < victim.gain:
			victim = n
		}
	}
	return victim
}

func (n *note) level() float64 { return n.envelope.Level() * n.gain }

// dropEnded gives the parts of ended notes back, the others keeping their order.
func (e *Engine) dropEnded() {
	if !slices.ContainsFunc(e.sounding, hasEnded) {
		return
	}
	for _, n := range e.sounding {
		if n.follows != nil && hasEnded(n.follows) {
			n.follows = nil // and so it has ended itself
		}
	}
	for _, n := range e.sounding {
		if !hasEnded(n) {
			continue
		}
		for _, i := range n.parts {
			e.parts[i].feed.Stop()
			e.free = append(e.free, i)
		}
		n.on.notes--
		n.on = nil
		e.idle = append(e.idle, n)
	}
	e.sounding = slices.DeleteFunc(e.sounding, hasEnded)
	if len(e.playing) > 1 {
		e.retireSilent()
	}
}

func hasEnded(n *note) bool { return n.follows == nil && n.envelope.Ended() }
