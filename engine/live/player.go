// Package live plays an engine in real time: it gives arriving MIDI events their frames, holds chords, records what is
// played, and follows changes of the map. Its part midi opens MIDI inputs and its part output opens sound devices.
package live

import (
	"math"
	"sync/atomic"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping/sound"
)

// Player stands between the engine and the loudspeaker: it plays an engine from arriving MIDI into an output. Render
// belongs to the output's audio thread; all else may be called from one other goroutine at a time.
type Player struct {
	Hands *Hands
	Latch *Latch

	engine   *engine.Engine
	arrivals *Arrivals
	recorder *Recorder // nil where nothing is recorded
	rateHz   int

	frame   int64 // of the stream; audio thread
	fader   *fader
	dry     dry
	load    load
	peak    atomic.Uint32 // since the last Figures, as bits of a float32
	largest atomic.Uint32 // since the start
	tap     atomic.Pointer[Tap]
}

// Figures are what a player shows while it plays.
type Figures struct {
	engine.Stats
	Seconds     float64 // played so far
	PeakDBFS    float64 // of the output since the last call
	FaderDB     float64 // where the output's level stands on its way to what SetLevel chose
	ReductionDB float64 // the most that the ceiling has taken off since the last call, 0 or more
	LoadPercent int     // of a block's time, that rendering took: the median of the last seconds
	WorstLoad   int     // the same, of the worst block
	Dropped     int64   // frames that the recording lacks
}

// NewPlayer makes a player that applies events as they arrive. The recorder may be
// nil.
func NewPlayer(e *engine.Engine, arrivals *Arrivals, recorder *Recorder) *Player {
	rateHz := e.Map().RateHz
	hands := NewHands(arrivals)
	return &Player{
		Hands: hands, Latch: NewLatch(hands), engine: e, arrivals: arrivals, recorder: recorder,
		rateHz: rateHz, fader: newFader(rateHz), dry: newDry(rateHz),
	}
}

// Render fills out, interleaved stereo. Audio thread: no allocation, lock, system
// call or log.
func (p *Player) Render(out []float32) {
	began := Now()
	frames := len(out) / 2
	p.arrivals.Begin(p.frame, frames, began)
	p.Hands.Begin()
	p.Latch.Begin(p.frame)
	p.engine.Render(out, p.Latch)
	if p.recorder != nil {
		p.recorder.Add(out)
	}
	p.frame += int64(frames)
	p.dry.apply(out)
	p.fader.apply(out)
	p.meter(out)
	if tap := p.tap.Load(); tap != nil {
		tap.ring.add(out)
	}
	p.load.add(Now()-began, int64(frames)*int64(time.Second)/int64(p.rateHz))
}

func (p *Player) meter(out []float32) {
	var peak float32
	for _, x := range out {
		peak = max(peak, x, -x)
	}
	for _, kept := range []*atomic.Uint32{&p.peak, &p.largest} {
		if peak > math.Float32frombits(kept.Load()) {
			kept.Store(math.Float32bits(peak))
		}
	}
}

// SetLevel moves the output's level, in dB below or above the map's own.
func (p *Player) SetLevel(gainDB float64) { p.fader.set(gainDB) }

// FadeOut lets the output fall silent; Silent says when it has.
func (p *Player) FadeOut() { p.fader.set(2 * silenceDB) }

// Silent says whether a faded output has reached silence.
func (p *Player) Silent() bool { return p.fader.silent.Load() }

// WholeLoad is the part of a block's time that rendering took since the start or ResetLoad, in percent: the median,
// and what one block in a thousand exceeds.
func (p *Player) WholeLoad() (median, worst int) {
	return p.load.whole.percentile(0.5), p.load.whole.percentile(0.999)
}

// ResetLoad begins to measure WholeLoad anew.
func (p *Player) ResetLoad() { p.load.whole.reset() }

// Figures returns the present figures.
func (p *Player) Figures() Figures {
	stats := p.engine.Stats()
	f := Figures{
		Stats:       stats,
		Seconds:     float64(stats.Frame) / float64(p.rateHz),
		PeakDBFS:    dBFS(p.peak.Swap(0)),
		FaderDB:     math.Float64frombits(p.fader.shownDB.Load()),
		ReductionDB: p.engine.TakeReductionDB(),
	}
	f.LoadPercent, f.WorstLoad = p.load.lately()
	if p.recorder != nil {
		f.Dropped = p.recorder.Dropped()
	}
	return f
}

// LargestDBFS is the peak of the output since the start.
func (p *Player) LargestDBFS() float64 { return dBFS(p.largest.Load()) }

func dBFS(bits uint32) float64 {
	return max(sound.AmplitudeDB(float64(math.Float32frombits(bits))), -120)
}
