// Package engine plays a map: it turns MIDI events into notes, notes into
// voices, and voices into sound, with a two-layer dynamics crossfade and a
// ceiling over the sum.
package engine

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/voices"
)

// CellFrames is the length of a cell of the absolute time grid on which every gain moves: block lengths
// of the host do not change the sound.
const CellFrames = 64

// CeilingDBTP is the true peak, by the measure of ITU-R BS.1770-5, that the output does not exceed.
const CeilingDBTP = -1

// Settings are what a player chooses beside the map.
type Settings struct {
	Quality    voices.Quality
	Arithmetic voices.Arithmetic
	Channel    int // 1 to 16; 0 hears all
	// channels stand apart: their keys, pedals and coarse tunings are their own; else all are as one
	Apart bool
	// for heads and rings; 0 takes DefaultMemoryBytes. Each further map that is open has heads of its own
	MemoryBytes int64
	MostVoices  int          // the largest polyphony of any map to come; 0: that of the first one
	RateHz      int          // of the output; 0 takes the map's
	Applied     []*QueueIn   // are told every event and turn with the frame at which it was applied
	Opened      func(Opened) // is told every map before it plays; may be nil
}

// Events hands events over in the order of their frames. Peek and Pop run on
// the audio thread.
type Events interface {
	Peek() (Event, bool)
	Pop()
}

// Engine plays a map. Render is its audio thread; Stats and Snapshot may be read from
// anywhere.
type Engine struct {
	settings Settings
	reader   *stream.Reader
	ceiling  *Ceiling

	now     *instrument   // new notes begin on it
	playing []*instrument // all that sound; at most keptInstruments
	next    atomic.Pointer[instrument]

	following atomic.Bool // held notes are to move on to the newest
	follows   bool        // the same, as the audio thread took it
	drawn     bool        // held notes move on to the map that plays, whatever follows says; audio thread
	trim      uint32      // of the map that plays, as bits of a float32; audio thread
	guide     *guide      // nil but for one that goes by turns
	again     atomic.Bool // what is held is to be struck again
	picks     picks
	picked    picked // audio thread

	latest atomic.Pointer[instrument] // that was told to play last

	changing sync.Mutex // what follows; not for the audio thread
	sides    []side     // one, or two to be held against each other
	side     int        // that plays
	opened   []*instrument
	numbered int

	mostVoices int // the largest polyphony that there is room for
	parts      []part
	free       []int32 // parts not in use
	notes      []note
	sounding   []*note // in the order in which they began
	idle       []*note
	presses    [mapping.HighestKey + 1]int64 // of each key
	control    controls
	channels   [16]channel
	zones      zones
	tunings    tunings
	own0, own1 []float64 // of each layer of one note, at the ends of a stretch

	nudging     keeping // of levels that move to where a nudge wants them
	nudgedUntil int64   // frame at which all have arrived

	frame int64 // of the next grid cell
	mix   [2 * CellFrames]float32
	ready []float32 // rest of mix not yet handed out
	stats counters

	snapshots handover[Snapshot]
	moments   handover[drawnMoment]
}

// Open opens the map at path and its beds, ready to play.
func Open(path string, s Settings) (*Engine, error) {
	if s.MemoryBytes == 0 {
		s.MemoryBytes = DefaultMemoryBytes
	}
	first, err := openInstrument(path, s.RateHz, s, nil)
	if err != nil {
		return nil, err
	}
	e, err := openEngine(first, path, s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return e, nil
}

// OpenMap opens the beds of a map in the project folder dir, ready to play.
func OpenMap(m *mapping.Map, dir string, s Settings) (*Engine, error) {
	if s.MemoryBytes == 0 {
		s.MemoryBytes = DefaultMemoryBytes
	}
	first, err := openMap(m, dir, s)
	if err != nil {
		return nil, err
	}
	return openEngine(first, "", s)
}

func openEngine(first *instrument, path string, s Settings) (*Engine, error) {
	e, err := newEngine(first, path, s)
	if err != nil {
		first.cycles.Close()
	}
	return e, err
}

func newEngine(first *instrument, path string, s Settings) (*Engine, error) {
	m := first.cycles.Map
	most := max(m.Polyphony, s.MostVoices)
	e := &Engine{settings: s, mostVoices: most, ceiling: NewCeiling(m.RateHz, CeilingDBTP), now: first}
	e.playing = append(make([]*instrument, 0, keptInstruments), first)
	first.sounding.Store(true)
	e.trim = first.trim.Load()
	e.sides = []side{{path: path, now: e.number(first)}}
	e.tellOpened(first, path)
	e.latest.Store(first)
	count := voicesFor(most)
	frames, err := ringFrames(s.MemoryBytes, most)
	if err != nil {
		return nil, err
	}
	e.reader = stream.NewReader(count, frames)
	e.parts, e.free = make([]part, count), make([]int32, 0, count)
	for i := range e.parts {
		e.parts[i].feed = e.reader.Feed(i)
		e.free = append(e.free, int32(count-1-i))
	}
	e.makeNotes(count, first.most())
	makeSnapshots(&e.snapshots, count)
	makeMoments(&e.moments, count)
	e.control.init(m)
	for i := range e.channels {
		e.channels[i].init()
	}
	e.tunings.init()
	e.own0, e.own1 = make([]float64, mapping.MostLayers), make([]float64, mapping.MostLayers)
	e.nudging = keepingOf(nudgeSec * float64(m.RateHz))
	e.publishMoment()
	return e, nil
}

// Map returns the map that plays: the one loaded last, unless another one was asked for.
func (e *Engine) Map() *mapping.Map { return e.latest.Load().cycles.Map }

// Cycles returns the cycles of the map that plays.
func (e *Engine) Cycles() *stream.Cycles { return e.latest.Load().cycles }

// Latest returns the number of the map that plays, as SoundingCycle.MapNumber has it, and its cycles.
func (e *Engine) Latest() (number int, cycles *stream.Cycles) {
	latest := e.latest.Load()
	return latest.number, latest.cycles
}

// Variant returns the number of the map that plays, as Moment has it: Nudge and Instead bring a new one.
func (e *Engine) Variant() int { return e.latest.Load().variant }

// LatencyFrames is how much later than its event a frame leaves Render.
func (e *Engine) LatencyFrames() int { return e.ceiling.Latency() }

// Fill reads ahead for every voice in the calling goroutine, so that a render
// that is not bound to the clock misses nothing.
func (e *Engine) Fill() { e.reader.FillAll() }

// Ready says whether the beds have been read ahead far enough for so many frames more. What renders ahead of the clock
// may wait for it. Any goroutine; no allocation or lock.
func (e *Engine) Ready(frames int) bool { return e.reader.Ready(frames + CellFrames) }

// Start lets workers read ahead until Close.
func (e *Engine) Start(workers int) { e.reader.Start(workers) }

// ReadError returns the first error met while reading beds, or while opening the maps of turns; voices fade where
// nothing can be read.
func (e *Engine) ReadError() error {
	if e.guide != nil && e.guide.failed != nil {
		return e.guide.failed
	}
	return e.reader.Err()
}

// TakeReadErrors returns the first error of each bed that could not be read since it was last asked; a bed is told of
// once for each map. Not for the audio thread.
func (e *Engine) TakeReadErrors() []error { return e.reader.TakeErrors() }

// Close ends the workers and closes the beds. Render must not run any more.
func (e *Engine) Close() error {
	e.reader.Close()
	var failed []error
	for _, in := range e.opened {
		failed = append(failed, in.cycles.Close())
	}
	e.opened = nil
	return errors.Join(failed...)
}

// Render fills out, interleaved stereo of any length, and applies each event at
// its frame. Events are taken up to one grid cell ahead of what is handed out;
// one that comes later than that is applied at once.
//
// Audio thread. No allocation, lock, system call or log.
func (e *Engine) Render(out []float32, events Events) {
	for len(out) > 0 {
		if len(e.ready) == 0 {
			e.renderCell(events)
		}
		n := copy(out, e.ready)
		out, e.ready = out[n:], e.ready[n:]
	}
}

// renderCell renders one cell of the grid, cut at the frames of its events.
func (e *Engine) renderCell(events Events) {
	if e.guide != nil {
		e.takeTurns(events)
	} else {
		e.takeNext()
		e.takeAsked()
	}
	e.follow()
	if e.guide != nil && len(e.playing) > 1 {
		e.Fill() // for successors
	}
	e.strikeAgain()
	e.takePicks()
	clear(e.mix[:])
	end := e.frame + CellFrames
	for at := e.frame; at < end; {
		cut := end
		for {
			event, found := events.Peek()
			if !found || event.Frame >= end {
				break
			}
			if event.Frame > at {
				cut = event.Frame
				break
			}
			events.Pop()
			event.Frame = at
			e.take(event)
		}
		e.renderStretch(e.mix[2*(at-e.frame) : 2*(cut-e.frame)])
		at = cut
	}
	e.frame = end
	e.ceiling.Process(e.mix[:])
	e.ready = e.mix[:]
	e.stats.publish(e)
	e.publishSnapshot()
	if e.frame%MomentFrames == 0 && e.frame >= e.nudgedUntil {
		e.publishMoment()
	}
}

// take applies an event and tells of it.
func (e *Engine) take(event Event) {
	e.apply(event)
	e.stats.events.Add(1)
	e.tell(event)
}

// tell lets the recorder know of an event that was applied.
func (e *Engine) tell(event Event) {
	for _, queue := range e.settings.Applied {
		if !queue.Push(event) {
			e.stats.untold.Add(1)
		}
	}
}

// renderStretch adds all voices to out, at most one grid cell long, between two
// events.
func (e *Engine) renderStretch(out []float32) {
	frames := len(out) / 2
	c := &e.control
	for _, in := range e.playing {
		in.cycles.Map.LayerGains(c.dynamics.value, in.gains0)
	}
	volume0, bend0 := c.gain(), c.bendRatio()
	c.advance(frames)
	for _, in := range e.playing {
		in.cycles.Map.LayerGains(c.dynamics.value, in.gains1)
	}
	volume1, bend1 := c.gain(), c.bendRatio()
	own := e.ownPlaces()
	for _, n := range e.sounding {
		level0 := n.envelope.Level() * n.gain * volume0
		level1 := n.envelope.Advance(frames) * n.gain * volume1
		in := n.on
		gains0, gains1 := in.gains0, in.gains1
		if own {
			gains0, gains1 = e.moveOwn(n, frames)
		}
		ratio0 := n.ratio
		n.glide(&c.bend.keep, frames)
		for k, i := range n.parts {
			if k+1 < len(n.parts) {
				next := &e.parts[n.parts[k+1]]
				next.voice.Prefetch(in.mixer, next.feed, frames)
			}
			p := &e.parts[i]
			open0, open1 := e.picked.moveOpen(n, p, frames)
			share0 := p.share.value
			p.share.advance(&e.nudging, frames)
			p.render(in.mixer, out, &e.nudging, bend0*ratio0, bend1*n.ratio,
				float32(level0*gains0[p.layer]*share0*open0), float32(level1*gains1[p.layer]*p.share.value*open1))
		}
	}
	e.dropEnded()
}
