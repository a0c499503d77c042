// Variants of the map that plays, tried on it: zones nudged, and other beds in the places of some.

package engine

import (
	"maps"
	"math"
	"reflect"
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// nudgeSec is how long levels and tunings take to where a nudge wants them, as VolumeSmoothingSec.
const nudgeSec = 0.03

// nudgeSettleSec is after how long nothing of a nudge moves any more: 14 time constants of each low-pass, −120 dB.
const nudgeSettleSec = 0.25

// Nudge has zones of the map that plays nudged so, and all others as they were loaded. Notes that sound follow:
// levels, tunings and silence without a crossfade; where a start moves, held notes move by as much, by a crossfade. A
// map that is loaded later at its path is nudged so too, but for zones that were changed in the file meanwhile. After
// an error nothing has changed. Not for the audio thread.
func (e *Engine) Nudge(nudges map[mapping.ZoneName]mapping.Nudge) error {
	e.changing.Lock()
	defer e.changing.Unlock()
	from := e.sides[e.side].now
	nudged, err := from.loaded.Nudged(nudges)
	if err != nil {
		return err
	}
	cycles, err := from.cycles.Under(nudged)
	if err != nil {
		return err
	}
	in, err := e.takeVariant(cycles)
	if err != nil {
		return err
	}
	in.tried, in.instead, in.sound, in.kept = maps.Clone(nudges), from.instead, from.sound, from.kept
	e.tellOpened(in, e.sides[e.side].path)
	e.play(in)
	return e.closeUnused()
}

// triedOn is what is tried on an instrument that goes on to be tried on a map loaded after it: not what somebody has
// changed in its file meanwhile.
func (in *instrument) triedOn(m *mapping.Map) map[mapping.ZoneName]mapping.Nudge {
	tried := map[mapping.ZoneName]mapping.Nudge{}
	if in == nil {
		return tried
	}
	for name, to := range in.tried {
		was, is := in.loaded.ZoneNamed(name), m.ZoneNamed(name)
		if was >= 0 && is >= 0 && in.loaded.Zones[was].Nudge() == m.Zones[is].Nudge() {
			tried[name] = to
		}
	}
	return tried
}

// Nudges are those that are tried on the map that plays. Not for the audio thread.
func (e *Engine) Nudges() map[mapping.ZoneName]mapping.Nudge {
	e.changing.Lock()
	defer e.changing.Unlock()
	return maps.Clone(e.sides[e.side].now.tried)
}

// NudgesAt are those that are tried on the map that follows a path. Not for the audio thread.
func (e *Engine) NudgesAt(path string) map[mapping.ZoneName]mapping.Nudge {
	e.changing.Lock()
	defer e.changing.Unlock()
	return maps.Clone(e.sides[e.sideOf(path)].now.tried)
}

// Loaded is the map that plays as it was loaded, without what is tried on it. Not for the audio thread.
func (e *Engine) Loaded() *mapping.Map {
	e.changing.Lock()
	defer e.changing.Unlock()
	return e.sides[e.side].now.loaded
}

// Instead puts other beds in the places of some of the map that plays, by their paths; of none, its own come back.
// Held notes move on by a crossfade, at the same places of their cycles. It ends with the next Reload of that map.
// After an error nothing has changed. Not for the audio thread.
func (e *Engine) Instead(beds map[string]stream.Bed) error {
	e.changing.Lock()
	defer e.changing.Unlock()
	from := e.sides[e.side].now
	cycles, err := from.cycles.Instead(beds)
	if err != nil {
		return err
	}
	in, err := e.takeVariant(cycles)
	if err != nil {
		return err
	}
	in.tried, in.instead, in.kept = from.tried, slices.Sorted(maps.Keys(beds)), from.kept
	e.tellOpened(in, e.sides[e.side].path)
	e.play(in)
	return e.closeUnused()
}

// Replaced lists the beds of the map that plays, by their paths, that have others in their places. Not for the audio
// thread.
func (e *Engine) Replaced() []string {
	e.changing.Lock()
	defer e.changing.Unlock()
	return slices.Clone(e.sides[e.side].now.instead)
}

// takeVariant makes an instrument of cycles, to be played in the place of the one that plays.
func (e *Engine) takeVariant(cycles *stream.Cycles) (*instrument, error) {
	in, err := newInstrument(cycles, e.settings)
	if err != nil {
		cycles.Close()
		return nil, err
	}
	side := &e.sides[e.side]
	from := side.now
	side.now = e.number(in)
	in.number, in.loaded, in.loudnessLUFS = from.number, from.loaded, from.loudnessLUFS
	in.trim.Store(from.trim.Load())
	return in, nil
}

// adoptVariants takes notes on variants of the same cycles over as they are: their levels and tunings move. Those
// whose start was moved are left to a successor, for as long as they are held. Audio thread.
func (e *Engine) adoptVariants() {
	adopted := false
	for _, n := range e.sounding {
		if n.on == e.now || n.on.number != e.now.number || n.followed || n.on.sound != e.now.sound ||
			e.startMoved(n) && (n.held() || n.follows != nil) {
			continue
		}
		adopted = true
		for _, i := range n.parts {
			p := &e.parts[i]
			was, is := &n.on.cycles.Map.Zones[p.zone], &e.now.cycles.Map.Zones[p.zone]
			p.share.target = p.plain * is.NudgeGain()
			if was.TuneCents != is.TuneCents {
				p.to = uint64(math.Round(float64(p.to) * ratioOf((is.TuneCents-was.TuneCents)/100)))
			}
		}
		n.on.notes--
		n.on = e.now
		n.on.notes++
	}
	if adopted {
		e.nudgedUntil = e.frame + int64(nudgeSettleSec*float64(e.now.cycles.Map.RateHz))
		e.retireSilent()
	}
}

// startMoved says whether a zone that a note sounds has another start on the present variant of its map.
func (e *Engine) startMoved(n *note) bool {
	for _, i := range n.parts {
		if e.nudgedBy(n, e.parts[i].zone, &e.parts[i]) != 0 {
			return true
		}
	}
	return false
}

// nudgedBy is by how many frames of its cycle, 0 to one turn, a part's zone begins later on the present map than on
// that of the note; 0 where the maps are not variants of one.
func (e *Engine) nudgedBy(n *note, zone int, p *part) int64 {
	if n.on.number != e.now.number {
		return 0
	}
	turns := e.now.cycles.Map.Zones[zone].Start - n.on.cycles.Map.Zones[p.zone].Start
	if turns < 0 {
		turns++
	}
	return int64(math.Round(turns*float64(p.cycleFrames))) % p.cycleFrames
}

// baseArrived is the distance, in 2⁻³² of a frame, at which a step has arrived.
const baseArrived = 1 << 8

// glideBase moves the step on towards where it is to be.
func (p *part) glideBase(keep *keeping, frames int) {
	left := float64(int64(p.to-p.base)) * keep[frames]
	if math.Abs(left) < baseArrived {
		p.base = p.to
		return
	}
	p.base = uint64(int64(p.to) - int64(left))
}

// Kept says that what is tried on the map that plays stands in its file now: it counts as loaded. Not for the audio
// thread.
func (e *Engine) Kept() {
	e.changing.Lock()
	defer e.changing.Unlock()
	now := e.sides[e.side].now
	now.loaded, now.tried, now.kept = now.cycles.Map, nil, true
}

// IsKept says whether the map at path is, by its content and its beds, the one that plays since Kept was called: it
// need not be loaded. Not for the audio thread.
func (e *Engine) IsKept(path string) bool {
	e.changing.Lock()
	now := e.sides[e.sideOf(path)].now
	kept, loaded := now.kept, now.loaded
	e.changing.Unlock()
	if !kept || len(now.cycles.ChangedBeds()) > 0 {
		return false
	}
	m, err := mapping.Load(path)
	if err != nil {
		return false
	}
	m.RateHz = now.cycles.Map.RateHz
	return reflect.DeepEqual(m, loaded)
}

// PlayingPath is the path of the map that plays. Not for the audio thread.
func (e *Engine) PlayingPath() string {
	e.changing.Lock()
	defer e.changing.Unlock()
	return e.sides[e.side].path
}
