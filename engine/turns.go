// Turns: what decides the sound beside messages, and comes from the program: which map plays, when held notes go over
// to it, what is alone or silent. They are told among the events, so that a recorded performance has them.

package engine

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// The kinds of turn: like tunings, told apart from channel messages by a Status that none of those has. But for
// KindPick they mean something only to an engine that goes by them (Guide).
const (
	// KindMap has map number Fine play from here on; held notes go over to it where Data1 is 1.
	KindMap byte = 0xF2
	// KindFollow says by Data1, 0 or 1, whether held notes go over to each map to come.
	KindFollow byte = 0xF3
	// KindTrim turns the notes to come down: Fine is the gain, as bits of a float32.
	KindTrim byte = 0xF4
	// KindGoOver has the held note go over to its successor on another map, the note number Fine of those that sound.
	KindGoOver byte = 0xF5
	// KindPick sets member Fine of the facet Data1/2 alone or, where Data1 is odd, silent: Data2 is 1, or 0 to take it
	// back.
	KindPick byte = 0xF6
)

// IsTurn says whether an event is no message but a turn.
func (e Event) IsTurn() bool { return e.Status >= KindMap && e.Status <= KindPick }

// Opened is a map that an engine has opened.
type Opened struct {
	Number  int // as KindMap has it; 0 the first
	Loaded  int // the number of the map as it was loaded, of which this is a variant; its own where it is that one
	Sound   int // the number of the first map with the very same cycles
	Cycles  *stream.Cycles
	Path    string   // of the map; "" for one that was given
	Voices  int      // that the engine has room for
	Instead []string // beds in whose places others sound
}

// GuidedMap is a map that turns name by its number.
type GuidedMap struct {
	*mapping.Map
	Dir           string // from which the paths of its beds lead
	Loaded, Sound int    // as Opened has them
}

// guide is what an engine goes by that has its turns from its events.
type guide struct {
	open   func(number int) (GuidedMap, error)
	failed error
}

// Guide has Render go by the turns among its events, and by nothing else; open gives the map of a number. Not in real
// time: Render then opens beds and reads. Before the first Render.
func (e *Engine) Guide(open func(number int) (GuidedMap, error)) { e.guide = &guide{open: open} }

// takeAsked looks for what was asked for between two maps, once a cell. Audio thread.
func (e *Engine) takeAsked() {
	if trim := e.now.trim.Load(); trim != e.trim {
		e.trim = trim
		e.tell(Event{Frame: e.frame, Status: KindTrim, Fine: trim})
	}
	if follows := e.following.Load(); follows != e.follows {
		e.follows = follows
		e.tell(Event{Frame: e.frame, Status: KindFollow, Data1: bit(follows)})
	}
}

func bit(on bool) byte {
	if on {
		return 1
	}
	return 0
}

// tellPicks tells of all members of which it changed whether they are alone or silent. Audio thread.
func (e *Engine) tellPicks(of Facet, silent bool, before, now *memberSet) {
	for word := range now {
		for changed := before[word] ^ now[word]; changed != 0; changed &= changed - 1 {
			member := 64*word + bits.TrailingZeros64(changed)
			e.tell(Event{Frame: e.frame, Status: KindPick, Data1: byte(of)<<1 | bit(silent),
				Data2: bit(now.has(member)), Fine: uint32(member)})
		}
	}
}

// turn applies a turn among the events: of an engine that is not guided, only what is alone or silent.
func (e *Engine) turn(event Event) {
	switch {
	case event.Status == KindPick && event.Data1 < byte(facets)<<1:
		of, member, on := Facet(event.Data1>>1), int(event.Fine), event.Data2 != 0
		if event.Data1&1 != 0 {
			e.SetSilent(of, member, on)
		} else {
			e.SetAlone(of, member, on)
		}
		e.loadPicks()
	case e.guide == nil:
	case event.Status == KindFollow:
		e.follows = event.Data1 != 0
	case event.Status == KindTrim:
		e.trim = event.Fine
	case event.Status == KindMap:
		if err := e.turnTo(int(event.Fine), event.Data1 != 0); err != nil && e.guide.failed == nil {
			e.guide.failed = fmt.Errorf("map %d of the performance: %w", event.Fine, err)
		}
	case event.Status == KindGoOver:
		if int(event.Fine) < len(e.sounding) {
			e.sounding[event.Fine].mayGoOver = true
		}
	}
}

// takeTurns takes the turns at the beginning of a cell, and reads ahead for what they begin.
func (e *Engine) takeTurns(events Events) {
	for {
		event, found := events.Peek()
		if !found || !event.IsTurn() || event.Frame > e.frame {
			return
		}
		events.Pop()
		e.turn(event)
	}
}

// turnTo plays a map by its number.
func (e *Engine) turnTo(number int, draws bool) error {
	e.changing.Lock()
	defer e.changing.Unlock()
	at := slices.IndexFunc(e.opened, func(in *instrument) bool { return in.variant == number })
	if at < 0 {
		in, err := e.openGuided(number)
		if err != nil {
			return err
		}
		at, e.opened = len(e.opened), append(e.opened, in)
	}
	in := e.opened[at]
	in.draws.Store(draws)
	e.sides[0].now, e.sides[0].before = in, e.sides[0].now
	e.play(in)
	e.takeNext()
	return e.closeUnused()
}

// openGuided opens a map by its number: on the cycles of one that sounds alike, as notes that are taken over go on.
func (e *Engine) openGuided(number int) (in *instrument, err error) {
	m, err := e.guide.open(number)
	if err != nil {
		return nil, err
	}
	alike := slices.IndexFunc(e.opened, func(in *instrument) bool {
		return in.number == m.Loaded &&
			in.sound == m.Sound
	})
	if alike < 0 {
		in, err = openMap(m.Map, m.Dir, e.settings)
	} else {
		var cycles *stream.Cycles
		if cycles, err = e.opened[alike].cycles.Under(m.Map); err == nil {
			in, err = newInstrument(cycles, e.settings)
		}
	}
	if err != nil {
		return nil, err
	}
	if err := e.fits(in); err != nil {
		in.cycles.Close()
		return nil, err
	}
	in.variant, in.number, in.sound = number, m.Loaded, m.Sound
	return in, nil
}

// trimGain is the gain of notes to come that makes a map as loud as the other one.
func (e *Engine) trimGain() float64 { return float64(math.Float32frombits(e.trim)) }

// A turn as the data of a meta event for one sequencer (RP-001): the number that the MIDI Association keeps for
// what is not for sale, the program's name, then the event.
var turnMark = []byte("\x7dlapstrake turn ")

const turnBytes = 3 + 4

func appendTurn(body []byte, event Event) []byte {
	body = append(body, turnMark...)
	return binary.BigEndian.AppendUint32(append(body, event.Status, event.Data1, event.Data2), event.Fine)
}

// readTurn reads what appendTurn wrote; anything else is no turn.
func readTurn(body []byte) (event Event, is bool) {
	if len(body) != len(turnMark)+turnBytes || string(body[:len(turnMark)]) != string(turnMark) {
		return event, false
	}
	body = body[len(turnMark):]
	event = Event{Status: body[0], Data1: body[1], Data2: body[2], Fine: binary.BigEndian.Uint32(body[3:])}
	return event, event.IsTurn() && event.Data1 <= 127 && event.Data2 <= 127
}
