// Plays events without a clock, as fast as the machine can.

package show

import (
	"fmt"

	"lapstrake/engine"
)

// Performance is a row of events to be played without a clock.
type Performance struct {
	Engine  *engine.Engine // freshly opened: it has played nothing yet
	Events  []engine.Event // at least one, in the order of their frames; the last one lets all notes go
	TailSec float64        // longest wait for silence after the last event

	BeganFrame int64 // at which the engine stands: 0, but for one that goes on from a moment
	FromFrame  int64 // of which the sound comes first, BeganFrame or later
}

// Played says what a performance took.
type Played struct {
	MostVoices  int   // cycles that sounded at once
	StolenNotes int64 // notes that were cut short to stay within the map's polyphony
}

// blockFrames is how much is rendered between two fillings of the rings.
const blockFrames = 256

// LongestFrames returns the most frames that the performance can give.
func (p *Performance) LongestFrames() int64 {
	return p.endFrame() - p.FromFrame
}

func (p *Performance) endFrame() int64 {
	return p.lastFrame() + int64(p.TailSec*float64(p.Engine.Map().RateHz))
}

func (p *Performance) lastFrame() int64 { return p.Events[len(p.Events)-1].Frame }

// Play gives the sound to take, in blocks of interleaved stereo frames that are take's only until it returns. The
// first frame is that of FromFrame: the latency of the ceiling is taken off. Play ends when the last event is past and
// nothing sounds any more, after LongestFrames at the latest, or with the first error of a bed or of take. progress is
// called with the part that is done, 0 to 1; it may be nil.
func (p *Performance) Play(take func(frames []float32) error, progress func(part float64)) (Played, error) {
	var played Played
	lastFrame, end := p.lastFrame(), p.endFrame()
	events := engine.NewList(p.Events)
	latency := int64(p.Engine.LatencyFrames())
	block := make([]float32, 2*blockFrames)
	for frame := p.BeganFrame - latency; frame < end; frame += blockFrames {
		p.Engine.Fill()
		p.Engine.Render(block, events)
		if err := p.Engine.ReadError(); err != nil {
			return played, err
		}
		stats := p.Engine.Stats()
		played.MostVoices, played.StolenNotes = max(played.MostVoices, stats.Voices), stats.Stolen
		if from, to := max(p.FromFrame-frame, 0), min(end-frame, blockFrames); from < to {
			if err := take(block[2*from : 2*to]); err != nil {
				return played, err
			}
		}
		if frame > lastFrame+latency && stats.Voices == 0 {
			break
		}
		if progress != nil {
			progress(max(float64(frame-p.FromFrame)/float64(end-p.FromFrame), 0))
		}
	}
	if misses := p.Engine.Stats().Misses; misses > 0 {
		return played, fmt.Errorf("%d reads came late in a render that waits for them: the program is at fault",
			misses)
	}
	return played, nil
}

// LetGo ends events at a frame by lifting the pedals and all keys of every channel.
func LetGo(events []engine.Event, frame int64) []engine.Event {
	for channel := range byte(16) {
		for _, number := range []byte{engine.ControlHold, engine.ControlSostenuto, engine.ControlNotesOff} {
			events = append(events, engine.Control(frame, channel, number, 0))
		}
	}
	return events
}
