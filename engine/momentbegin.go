// Going on from a moment that was kept.

package engine

import (
	"fmt"
	"slices"
)

// mostMomentFrames bounds what a moment may count: more than a century at 192 kHz.
const mostMomentFrames = 1 << 50

// SettleSec is how long after a moment the ceiling's gain is what it would have been without it: eleven times the time
// constant of its release, −100 dB, and its look-ahead.
const SettleSec = 11.5*ceilingReleaseSec + 0.1

// Begin goes on from a moment, on the map it was kept on; a cycle of another length is entered at the same part of its
// turn. It is for an engine that has rendered nothing yet, and that reads ahead by Fill. What the moment says and cannot
// be is an error, after which the engine is of no use.
func (e *Engine) Begin(m *Moment) error {
	if err := m.check(); err != nil {
		return err
	}
	if err := e.control.goOn(m.Controls); err != nil {
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

// check refuses counts that would lead out of what there is.
func (m *Moment) check() error {
	within := func(x int64) bool { return x >= 0 && x < mostMomentFrames }
	if !within(m.Frame) || m.Frame%CellFrames != 0 || !within(m.Presses) {
		return fmt.Errorf("found the frame %d and %d presses, expected a multiple of %d and 0 or more", m.Frame, m.Presses,
			CellFrames)
	}
	parts := 0
	for i := range m.Notes {
		n := &m.Notes[i]
		if n.Parts < 0 || n.Parts > len(m.Parts)-parts {
			return fmt.Errorf("notes[%d]: found %d parts, expected 0 to the %d that are left", i, n.Parts, len(m.Parts)-parts)
		}
		if n.Key < 0 || n.Key > 127 || n.Channel < 0 || n.Channel > 15 || n.Velocity < 1 || n.Velocity > 127 ||
			!within(n.BeganFrame) {
			return fmt.Errorf("notes[%d]: found key %d, channel %d, velocity %d, began at %d: expected 0 to 127, 0 to 15, "+
				"1 to 127 and 0 or more", i, n.Key, n.Channel, n.Velocity, n.BeganFrame)
		}
		parts += n.Parts
	}
	for i := range m.Parts {
		p := &m.Parts[i]
		if !within(p.PlayedFrames) || !within(p.StartFrame) || p.StartFrame >= p.CycleFrames || !within(p.CycleFrames) ||
			!(p.Flow >= 0 && p.Flow <= 1) {
			return fmt.Errorf("parts[%d]: found the start %d of %d frames, %d played, flow %v: expected a start within the "+
				"cycle, 0 or more, and 0 to 1", i, p.StartFrame, p.CycleFrames, p.PlayedFrames, p.Flow)
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
	for i := range parts {
		if err := e.beginKeptPart(n, &parts[i]); err != nil {
			return err
		}
	}
	return nil
}

func (e *Engine) beginKeptPart(n *note, kept *KeptPart) error {
	places := e.now.byKey[n.key]
	at := slices.IndexFunc(places, func(p placed) bool { return p.zone == kept.Zone && p.layer == kept.Layer })
	if at < 0 {
		return fmt.Errorf("found zone %d and layer %d, expected those that key %d sounds", kept.Zone, kept.Layer, n.key)
	}
	p := e.takePart(n, places[at])
	cycle := n.on.cycles.Cycle(kept.Zone, kept.Layer)
	p.flow, p.cycleFrames, p.startFrame = kept.Flow, cycle.Frames, kept.StartFrame
	if kept.CycleFrames != cycle.Frames {
		p.startFrame = cycle.StartFrame(float64(kept.StartFrame) / float64(kept.CycleFrames))
	}
	p.voice.Frame, p.voice.Fraction = kept.PlayedFrames, kept.Fraction
	p.feed.Resume(cycle, p.startFrame, kept.PlayedFrames, p.voice.Step)
	return nil
}
