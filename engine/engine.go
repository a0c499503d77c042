// Package engine plays a map: it turns MIDI events into notes, notes into
// voices, and voices into sound, with a two-layer dynamics crossfade and a
// ceiling over the sum.
package engine

import (
	"fmt"
	"math"
	"path/filepath"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/voices"
)

// gridFrames is the absolute time grid on which every gain moves: block lengths
// of the host do not change the sound.
const gridFrames = 64

// CeilingDBTP is the true peak, by the measure of ITU-R BS.1770-5, that the output does not exceed.
const CeilingDBTP = -1

// DefaultMemoryBytes is the memory for heads and rings unless told otherwise.
const DefaultMemoryBytes = 96 << 20

// Settings are what a player chooses beside the map.
type Settings struct {
	Quality     voices.Quality
	Arithmetic  voices.Arithmetic
	Channel     int   // 1 to 16; 0 hears all channels as one
	MemoryBytes int64 // for heads and rings; 0 takes DefaultMemoryBytes
}

// Events hands events over in the order of their frames. Peek and Pop run on
// the audio thread.
type Events interface {
	Peek() (Event, bool)
	Pop()
}

// Engine plays one map. Render is its audio thread; Stats may be read from
// anywhere.
type Engine struct {
	settings Settings
	bank     *stream.Bank
	reader   *stream.Reader
	mixer    *voices.Mixer
	ceiling  *Ceiling

	byKey    [mapping.HighestKey + 1][]placed
	parts    []part
	free     []int32 // parts not in use
	notes    []note
	sounding []*note // in the order in which they began
	idle     []*note
	presses  int64
	control  controls

	frame int64 // of the next grid cell
	mix   [2 * gridFrames]float32
	ready []float32 // rest of mix not yet handed out

	gains0, gains1 []float64 // of each layer at the ends of a stretch
	stats          counters
}

// placed is one cycle that a key sounds.
type placed struct {
	zone, layer int
	base        uint64 // step without bend
}

// Open opens the map at path and its beds, ready to play.
func Open(path string, s Settings) (*Engine, error) {
	if s.MemoryBytes == 0 {
		s.MemoryBytes = DefaultMemoryBytes
	}
	m, err := mapping.Load(path)
	if err != nil {
		return nil, err
	}
	bank, err := stream.Open(m, filepath.Dir(path), s.MemoryBytes/2)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	e, err := newEngine(bank, s)
	if err != nil {
		bank.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return e, nil
}

func newEngine(bank *stream.Bank, s Settings) (*Engine, error) {
	m := bank.Map
	e := &Engine{settings: s, bank: bank, ceiling: NewCeiling(m.RateHz, CeilingDBTP)}
	largest := e.placeKeys()
	mixer, err := voices.NewMixer(s.Quality, s.Arithmetic, max(largest, 1))
	if err != nil {
		return nil, fmt.Errorf("the beds' rates, the zones' shifts and the bend ask for up to %.1f bed frames a frame: %w", largest, err)
	}
	e.mixer = mixer
	for key, cycles := range e.byKey {
		if len(cycles) > m.Voices {
			return nil, fmt.Errorf("polyphony %d: key %d sounds %d cycles; expected at least as many", m.Voices, key, len(cycles))
		}
	}
	// Stolen voices fade while their successors sound: spare parts carry them.
	count := m.Voices + max(m.Voices/4, 32)
	ringFrames := int(s.MemoryBytes / 2 / 8 / int64(count))
	if ringFrames < stream.LeastRingFrames {
		return nil, fmt.Errorf("%d MB of memory are too little for %d voices: allow %d MB or lower the map's polyphony",
			s.MemoryBytes>>20, m.Voices, int64(count)*stream.LeastRingFrames*8*2>>20+1)
	}
	e.reader = stream.NewReader(count, min(ringFrames, 65536)-stream.WindowFrames)
	e.parts, e.free = make([]part, count), make([]int32, 0, count)
	for i := range e.parts {
		e.parts[i].feed = e.reader.Feed(i)
		e.free = append(e.free, int32(count-1-i))
	}
	e.makeNotes(count)
	e.gains0, e.gains1 = make([]float64, len(m.Layers)), make([]float64, len(m.Layers))
	e.control.init(m)
	return e, nil
}

// placeKeys lists for each key the cycles it sounds and returns the largest
// ratio at which any is played, a full bend included.
func (e *Engine) placeKeys() (largest float64) {
	m := e.bank.Map
	for key := range e.byKey {
		for _, zone := range m.ZonesAt(key) {
			for layer := range m.Layers {
				cycle := e.bank.Cycle(zone, layer)
				base := cycle.Step(float64(key-m.Zones[zone].Root), m.RateHz)
				e.byKey[key] = append(e.byKey[key], placed{zone, layer, base})
				largest = max(largest, float64(base)/mapping.OneFrame*math.Exp2(m.Bend/12))
			}
		}
	}
	return largest
}

// Map returns the map being played.
func (e *Engine) Map() *mapping.Map { return e.bank.Map }

// Bank returns the cycles being played.
func (e *Engine) Bank() *stream.Bank { return e.bank }

// LatencyFrames is how much later than its event a frame leaves Render.
func (e *Engine) LatencyFrames() int { return e.ceiling.Latency() }

// Fill reads ahead for every voice in the calling goroutine, so that a render
// that is not bound to the clock misses nothing.
func (e *Engine) Fill() { e.reader.FillAll() }

// Start lets workers read ahead until Close.
func (e *Engine) Start(workers int) { e.reader.Start(workers) }

// ReadError returns the first error met while reading beds; what could not be
// read is silent.
func (e *Engine) ReadError() error {
	return e.reader.Err()
}

// Close ends the workers and closes the beds. Render must not run any more.
func (e *Engine) Close() error {
	e.reader.Close()
	return e.bank.Close()
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
	clear(e.mix[:])
	end := e.frame + gridFrames
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
			e.apply(event)
		}
		e.renderStretch(e.mix[2*(at-e.frame) : 2*(cut-e.frame)])
		at = cut
	}
	e.frame = end
	e.ceiling.Process(e.mix[:])
	e.ready = e.mix[:]
	e.stats.publish(e)
}

// renderStretch adds all voices to out, at most one grid cell long, between two
// events.
func (e *Engine) renderStretch(out []float32) {
	frames := len(out) / 2
	m := e.bank.Map
	c := &e.control
	m.LayerGains(c.dynamics.value, e.gains0)
	volume0, bend0 := c.gain(), c.bendRatio()
	c.advance(frames)
	m.LayerGains(c.dynamics.value, e.gains1)
	volume1, bend1 := c.gain(), c.bendRatio()
	for _, n := range e.sounding {
		level0 := n.envelope.Level() * n.gain * volume0
		level1 := n.envelope.Advance(frames) * n.gain * volume1
		for k, i := range n.parts {
			if k+1 < len(n.parts) {
				next := &e.parts[n.parts[k+1]]
				next.voice.Prefetch(e.mixer, next.feed, frames)
			}
			p := &e.parts[i]
			p.render(e.mixer, out, bend0, bend1, float32(level0*e.gains0[p.layer]), float32(level1*e.gains1[p.layer]))
		}
	}
	e.dropEnded()
}
