// Going on from a moment that was kept.

package engine

import (
	"fmt"
	"slices"

	"lapstrake/mapping"
	"lapstrake/voices"
)

// mostMomentFrames bounds what a moment may count: more than a century at 192 kHz.
const mostMomentFrames = 1 << 50

const mostGain = 1000 // that a note or a zone may have

// SettleSec is how long after a moment the ceiling's gain is what it would have been without it: eleven times the time
// constant of its release, −100 dB, and its look-ahead.
const SettleSec = 11.5*ceilingReleaseSec + 0.1

// Begin goes on from a moment, on the map it was kept on; a cycle of another length is entered at the same part of its
// turn. It is for an engine that has rendered nothing yet, and that reads ahead by Fill. What the moment says and
// cannot be is an error, after which the engine is of no use.
func (e *Engine) Begin(m *Moment) error {
	if err := m.check(); err != nil {
		return err
	}
	if err := e.beginState(m); err != nil {
		return err
	}
	e.frame, e.presses = m.Frame, m.Presses
	left := m.Parts
	for i := range m.Notes {
		if err := e.beginKept(&m.Notes[i], left[:m.Notes[i].Parts]); err != nil {
			return fmt.Errorf("notes[%d]: %w", i, err)
		}
		left = left[m.Notes[i].Parts:]
	}
	return nil
}

// beginState goes on with all that is about no single note.
func (e *Engine) beginState(m *Moment) error {
	if err := e.control.goOn(m.Controls); err != nil {
		return fmt.Errorf("controls: %w", err)
	}
	for i := range e.channels {
		if err := e.channels[i].goOn(m.Channels[i]); err != nil {
			return fmt.Errorf("channels[%d]: %w", i, err)
		}
	}
	if err := e.tunings.goOn(m.Retuned); err != nil {
		return fmt.Errorf("retuned: %w", err)
	}
	lower, upper := m.Members[0], m.Members[1]
	if min(lower, upper) < 0 || max(lower, upper) > 15 || lower+upper > 15 {
		return fmt.Errorf("found %d and %d members of zones, expected 15 at most", lower, upper)
	}
	e.zones = zones{lower, upper}
	for of := range facets {
		e.picks.alone[of].store(m.Alone[of])
		e.picks.silent[of].store(m.Silent[of])
	}
	return nil
}

// check refuses counts that would lead out of what there is.
func (m *Moment) check() error {
	within := func(x int64) bool { return x >= 0 && x < mostMomentFrames }
	if !within(m.Frame) || m.Frame%CellFrames != 0 || !within(slices.Min(m.Presses[:])) ||
		!within(slices.Max(m.Presses[:])) {
		return fmt.Errorf("found the frame %d and presses %v, expected a multiple of %d and 0 or more",
			m.Frame, m.Presses, CellFrames)
	}
	parts := 0
	for i := range m.Notes {
		n := &m.Notes[i]
		if n.Parts < 0 || n.Parts > len(m.Parts)-parts {
			return fmt.Errorf("notes[%d]: found %d parts, expected 0 to the %d that are left", i, n.Parts,
				len(m.Parts)-parts)
		}
		if n.Key < 0 || n.Key > 127 || n.Channel < 0 || n.Channel > 15 || n.Velocity < 1 || n.Velocity > 127 ||
			n.Pressure < 0 || n.Pressure > 127 || !within(n.BeganFrame) || !(n.Gain >= 0 && n.Gain <= mostGain) {
			return fmt.Errorf("notes[%d]: found key %d, channel %d, velocity %d, pressure %d, began at %d, gain %v: "+
				"expected 0 to 127, 0 to 15, 1 to 127, 0 to 127, 0 or more, 0 to %d", i, n.Key, n.Channel,
				n.Velocity, n.Pressure,
				n.BeganFrame, n.Gain, mostGain)
		}
		parts += n.Parts
	}
	for i := range m.Parts {
		p := &m.Parts[i]
		if !within(p.PlayedFrames) || !within(p.StartFrame) || p.StartFrame >= p.CycleFrames ||
			!within(p.CycleFrames) || !(p.Flow >= 0 && p.Flow <= 1) || !(p.Share >= 0 && p.Share <= mostGain) ||
			p.Base > voices.MaxStep*mapping.OneFrame ||
			p.Open != unopened && !(p.Open >= 0 && p.Open <= 1) {
			return fmt.Errorf("parts[%d]: found %+v: expected a start within the cycle, frames of 0 or more, and "+
				"gains from 0 on",
				i, *p)
		}
	}
	return nil
}

func (e *Engine) beginKept(kept *KeptNote, parts []KeptPart) error {
	if len(e.free) < len(parts) || len(e.idle) == 0 || len(parts) > cap(e.idle[len(e.idle)-1].parts) {
		return fmt.Errorf("found more cycles than there is room for")
	}
	envelope, ok := kept.Envelope.GoOn()
	if !ok {
		return fmt.Errorf("found an envelope that cannot be: %+v", kept.Envelope)
	}
	n := e.newNote(kept.Channel, kept.Key, kept.Velocity)
	n.beganFrame, n.down, n.captured, n.envelope = kept.BeganFrame, kept.Down, kept.Captured, envelope
	n.pressure, n.gain, n.ownPitch = kept.Pressure, kept.Gain, kept.OwnPitch
	if err := n.pitch.goOn(kept.Pitch, "the pitch", -mostSemitones, mostSemitones); err != nil {
		return err
	}
	if err := n.place.goOn(kept.Place, "the place between the layers", 0, 1); err != nil {
		return err
	}
	n.ratio = ratioOf(n.pitch.value)
	for i := range parts {
		if err := e.beginKeptPart(n, &parts[i]); err != nil {
			return err
		}
	}
	return nil
}

func (e *Engine) beginKeptPart(n *note, kept *KeptPart) error {
	if m := n.on.cycles.Map; kept.Zone < 0 || kept.Zone >= len(m.Zones) || kept.Layer < 0 ||
		kept.Layer >= len(m.Layers) {
		return fmt.Errorf("found zone %d and layer %d, expected fewer than %d and %d", kept.Zone,
			kept.Layer, len(m.Zones), len(m.Layers))
	}
	p := e.takePart(n, placed{kept.Zone, kept.Layer, kept.Base, kept.Share, kept.Share})
	cycle := n.on.cycles.Cycle(kept.Zone, kept.Layer)
	p.flow, p.open, p.cycleFrames, p.startFrame = kept.Flow, kept.Open, cycle.Frames, kept.StartFrame
	if kept.CycleFrames != cycle.Frames {
		p.startFrame = cycle.StartFrame(float64(kept.StartFrame) / float64(kept.CycleFrames))
	}
	p.voice.Frame, p.voice.Fraction = kept.PlayedFrames, kept.Fraction
	p.feed.Resume(cycle, p.startFrame, kept.PlayedFrames, p.voice.Step)
	return nil
}
