package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"syscall"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/mapping"
)

// playing is one run of play.
type playing struct {
	streams
	options *playOptions
	path    string // of the map
	line    *statusLine

	keeper   *live.Keeper
	engine   *engine.Engine
	applied  *engine.QueueOut // to be recorded
	recorder *live.Recorder
	arrivals *live.Arrivals
	player   *live.Player
	hand     *live.Source // what this program plays itself
	closers  []func() error

	signals    chan os.Signal
	outputDB   float64
	most       int // voices
	reloads    atomic.Int64
	recordGone bool // the recording ended early, and that was said
}

const (
	readWorkers   = 2
	appliedEvents = 1 << 16
	levelStepDB   = 1
	lowestLevelDB = -40
	highestDB     = 6
	chordVelocity = 100

	endTimeout = time.Second
)

// open opens the output first, since its rate decides the player's, and the MIDI
// inputs last.
func (p *playing) open() error {
	p.signals = make(chan os.Signal, 2)
	signal.Notify(p.signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	// The audio thread must find a processor free while others read and collect.
	runtime.GOMAXPROCS(runtime.NumCPU() + 4)
	m, err := mapping.Load(p.path)
	if err != nil {
		return err
	}
	var stage live.Stage
	if err := p.openOutput(m.RateHz, stage.Render); err != nil {
		return err
	}
	if err := p.openEngine(); err != nil {
		return err
	}
	p.arrivals = live.NewArrivals(p.engine.Map().RateHz)
	if p.hand, err = p.arrivals.Source(); err != nil {
		return err
	}
	chord, err := parseKeys(p.streams, p.engine.Map().MiddleC, p.options.chord)
	if err != nil {
		return err
	}
	if err := p.openInputs(); err != nil {
		return err
	}
	stop, err := live.Watch(p.path, p.engine, p.reloaded)
	if err != nil {
		return err
	}
	p.closers = append(p.closers, func() error { stop(); return nil })
	if p.options.rebuild {
		rebuilder, err := startRebuilder(filepath.Dir(p.path), p.line.say)
		if err != nil {
			return err
		}
		p.closers = append(p.closers, rebuilder.Close)
	}
	// The last that can fail: nothing that was refused leaves a recording behind.
	if p.options.record != "" {
		if p.recorder, err = live.NewRecorder(p.options.record, p.engine.Map().RateHz, p.engine.LatencyFrames(), p.applied); err != nil {
			return err
		}
	}
	p.player = live.NewPlayer(p.engine, p.arrivals, p.recorder)
	p.player.Latch.Channel = p.options.player.channel
	p.player.Latch.Set(p.options.latch || len(p.options.chord) > 0)
	p.sayOutput()
	p.strike(chord)
	stage.Begin(p.player.Render)
	return nil
}

func (p *playing) openOutput(rateHz int, render func([]float32)) error {
	settings := p.options.output
	settings.RateHz = rateHz
	keeper, err := live.Keep(settings, render, p.line.say)
	if wrongRate := (*live.RateError)(nil); errors.As(err, &wrongRate) {
		p.notice("%s runs at %d Hz, the map at %d Hz: it is played at %d Hz", wrongRate.Device, wrongRate.DeviceHz, rateHz, wrongRate.DeviceHz)
		settings.RateHz = wrongRate.DeviceHz
		keeper, err = live.Keep(settings, render, p.line.say)
	}
	if err != nil {
		return err
	}
	p.keeper = keeper
	p.closers = append(p.closers, keeper.Close)
	return nil
}

func (p *playing) openEngine() error {
	settings, err := p.options.player.settings()
	if err != nil {
		return err
	}
	output, _ := p.keeper.Output()
	settings.RateHz = output.RateHz
	if p.options.record != "" {
		settings.Applied, p.applied = engine.NewQueue(appliedEvents)
	}
	if p.engine, err = engine.Open(p.path, settings); err != nil {
		return err
	}
	p.engine.Start(readWorkers)
	return nil
}

func (p *playing) openInputs() error {
	ports, err := live.OpenPorts(p.arrivals, p.options.ports, p.line.say)
	if err != nil {
		return err
	}
	p.closers = append(p.closers, func() error { ports.Close(); return nil })
	if p.options.raw != "" {
		raw, err := live.OpenRawMIDI(p.arrivals, p.options.raw, p.line.say)
		if err != nil {
			return err
		}
		p.closers = append(p.closers, raw.Close)
	}
	return nil
}

// strike begins with a chord, whose keys the latch holds.
func (p *playing) strike(chord []int) {
	now := live.Now()
	channel := byte(max(p.options.player.channel, 1) - 1)
	for _, key := range chord {
		p.hand.Push(now, engine.KindNoteOn|channel, byte(key), chordVelocity)
	}
	for _, key := range chord {
		p.hand.Push(now+1, engine.KindNoteOff|channel, byte(key), 64)
	}
}

func (p *playing) sayOutput() {
	output, _ := p.keeper.Output()
	p.notice("%s: playing on %s at %d Hz, %d frames at a time, %.1f ms from rendering to sound", p.path, output.Device,
		output.RateHz, output.BlockFrames, output.Latency.Seconds()*1000)
	p.notice("The output begins 20 dB down and rises in three seconds. Begin with the volume low, on headphones above all; the rules of your workplace come first.")
}

// reloaded says what became of a changed map.
func (p *playing) reloaded(err error) {
	if err != nil {
		p.notice("not reloaded, the map from before plays on: %v", err)
		return
	}
	p.reloads.Add(1)
	p.notice("%s: reloaded; the next notes play it", filepath.Base(p.path))
}

// loop serves the terminal and the status line until the time is over or somebody
// ends it.
func (p *playing) loop() error {
	keys, err := openTerminal(os.Stdin)
	if err != nil {
		return err
	}
	defer keys.Close()
	if keys.Keys() != nil {
		p.line.say(playKeysHelp)
	}
	defer func() { go exitAtOnce(p.signals) }()
	ticker := time.NewTicker(statusInterval)
	defer ticker.Stop()
	for {
		select {
		case <-p.signals:
			return nil
		case key := <-keys.Keys():
			if key == playStop {
				return nil
			}
			p.serve(key)
		case now := <-ticker.C:
			figures := p.player.Figures()
			p.show(now, figures)
			if p.options.length > 0 && figures.Seconds >= p.options.length.Seconds() {
				return nil
			}
		}
	}
}

// exitAtOnce ends the program at the next signal. The system's own way would not do: a signal that meets a thread of a
// sound library can get lost on it.
func exitAtOnce(signals <-chan os.Signal) {
	<-signals
	os.Exit(exitInterrupted)
}

func (p *playing) serve(key playKey) {
	switch key {
	case playLatch:
		p.player.Latch.Set(!p.player.Latch.On())
	case playSilence:
		p.silence()
	case playResetCounts:
		p.line.resetCounts()
		p.player.ResetLoad()
	case playLouder:
		p.outputDB = min(p.outputDB+levelStepDB, highestDB)
		p.player.SetLevel(p.outputDB)
	case playSofter:
		p.outputDB = max(p.outputDB-levelStepDB, lowestLevelDB)
		p.player.SetLevel(p.outputDB)
	case playHelp:
		p.line.say(playKeysHelp)
	}
}

// silence ends all notes at once, on every channel.
func (p *playing) silence() {
	const hold, sostenuto, allSoundOff = 64, 66, 120
	now := live.Now()
	for channel := range byte(16) {
		for _, number := range []byte{hold, sostenuto, allSoundOff} {
			p.hand.Push(now, engine.KindControl|channel, number, 0)
		}
	}
}

func (p *playing) show(now time.Time, f live.Figures) {
	p.most = max(p.most, f.Voices)
	latch := p.player.Latch
	s := status{
		held: latch.Held(), naming: p.engine.Map().MiddleC, voices: f.Voices,
		dynamics: int(math.Round(127 * f.Dynamics)), volumeDB: f.VolumeDB, outputDB: p.outputDB,
		peakDBFS: f.PeakDBFS, loadPercent: f.LoadPercent, underruns: p.keeper.Underruns(), misses: f.Misses, latch: latch.On(),
	}
	if p.recorder != nil {
		s.recording, s.recordedSec, s.recordGaps = !p.recordGone, f.Seconds, f.Dropped
		if err := p.recorder.Err(); err != nil && !p.recordGone {
			p.recordGone = true
			p.notice("the recording has ended, playing goes on: %v", err)
		}
	}
	p.line.show(now, s)
}

// end lets the sound fade, ends all notes, closes everything and reports.
func (p *playing) end() error {
	p.player.FadeOut()
	p.await(p.player.Silent)
	p.silence() // so that the recording ends in silence too
	p.await(func() bool { return p.player.Figures().Voices == 0 })
	figures := p.player.Figures()
	underruns := p.keeper.Underruns()
	output, _ := p.keeper.Output()
	recordings := []string{}
	if p.recorder != nil {
		recordings = p.recorder.Files()
	}
	err := p.close()
	p.line.end()
	if reportErr := p.report(output, figures, underruns, recordings); err == nil {
		err = reportErr
	}
	return err
}

// await waits for something that the audio thread does, unless it hangs.
func (p *playing) await(done func() bool) {
	for began := time.Now(); !done() && time.Since(began) < endTimeout; {
		time.Sleep(10 * time.Millisecond)
	}
}

// close closes what was opened, the last first, and then the recording and the beds.
func (p *playing) close() error {
	var failed []error
	for len(p.closers) > 0 {
		last := len(p.closers) - 1
		failed = append(failed, p.closers[last]())
		p.closers = p.closers[:last]
	}
	if p.recorder != nil {
		failed = append(failed, p.recorder.Close())
		p.recorder = nil
	}
	if p.engine != nil {
		failed = append(failed, p.engine.Close())
		p.engine = nil
	}
	return errors.Join(failed...)
}

// playReport is what a run of play came to.
type playReport struct {
	Device      string   `json:"device"`
	RateHz      int      `json:"rate_hz"`
	BlockFrames int      `json:"block_frames"`
	LatencyMS   float64  `json:"latency_ms"`
	Seconds     float64  `json:"seconds"`
	PeakDBFS    float64  `json:"peak_dbfs"`
	Voices      int      `json:"voices"`
	Underruns   int64    `json:"underruns"`
	Misses      int64    `json:"misses"`
	Load        int      `json:"load_percent"`
	WorstLoad   int      `json:"worst_load_percent"`
	Events      int64    `json:"events"`
	LateEvents  int64    `json:"late_events"`
	LostEvents  int64    `json:"lost_events"`
	Reloads     int64    `json:"reloads"`
	Dropped     int64    `json:"dropped_frames"`
	Recordings  []string `json:"recordings"`
}

func (p *playing) report(output *live.Output, f live.Figures, underruns int64, recordings []string) error {
	r := playReport{
		Device: output.Device.String(), RateHz: output.RateHz, BlockFrames: output.BlockFrames, LatencyMS: output.Latency.Seconds() * 1000,
		Seconds: f.Seconds, PeakDBFS: p.player.LargestDBFS(), Voices: p.most, Underruns: underruns, Misses: f.Misses,
		Load: f.LoadPercent, WorstLoad: f.WorstLoad, Events: f.Events, LateEvents: p.arrivals.Late(), LostEvents: p.arrivals.Dropped(),
		Reloads: p.reloads.Load(), Dropped: f.Dropped, Recordings: recordings,
	}
	if p.options.json {
		return json.NewEncoder(p.out).Encode(r)
	}
	fmt.Fprintf(p.out, "played %s on %s: peak %.1f dBFS, up to %d voices, %d underruns, %d late reads, load %d %% (%d %% in the worst thousandth)\n",
		minutes(r.Seconds), r.Device, r.PeakDBFS, r.Voices, r.Underruns, r.Misses, r.Load, r.WorstLoad)
	for _, path := range r.Recordings {
		fmt.Fprintln(p.out, path)
	}
	return nil
}
