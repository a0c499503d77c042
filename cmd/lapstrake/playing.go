// One run of play, from its first status to its end.

package main

import (
	"errors"
	"math"
	"math/bits"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/live"
	"lapstrake/engine/live/output"
	"lapstrake/engine/page"
	"lapstrake/mapping"
)

// playing is one run of play.
type playing struct {
	streams
	options *playOptions
	path    string // of the map
	against string // of the second map; "" where there is none
	line    *statusLine

	keeper    *output.Keeper
	engine    *engine.Engine
	applied   *engine.QueueOut // to be recorded
	recorder  *live.Recorder
	maps      *playedMaps // of the recording; nil where there is none
	marking   *marking
	arrivals  *live.Arrivals
	player    *live.Player
	hand      *live.Input                   // what this program plays itself
	rebuilder *rebuilder                    // nil unless beds are built anew
	page      *page.Page                    // nil unless it is served
	tap       *live.Tap                     // for the page
	trial     *live.Trial                   // of zones
	readAhead atomic.Pointer[engine.Engine] // the same, for the output, which was there before
	closers   []func() error

	unheard    sync.Once // that nothing can be urgent has been said
	signals    chan os.Signal
	sounding   engine.Snapshot
	outputDB   float64
	most       int     // voices
	unshown    highest // for the status line
	unseen     highest // for the page
	reloads    atomic.Int64
	following  atomic.Bool // held notes move on to a map that is reloaded
	recordGone bool        // the recording ended early, and that was said
	silent     [2]uint64   // keys of which it was said that they have no zone; key k is bit k%64 of word k/64
	silentOn   *mapping.Map

	view      soundingView
	picks     picks
	blind     blind
	dry       dryTurn
	nudging   nudging
	bound     map[live.Trigger]playKey
	teller    *audible.Teller
	who       []audible.Take // stand out
	whoAt     time.Time
	lastKey   int // that was struck
	lastFrame int64
}

const (
	appliedEvents = 1 << 16
	levelStepDB   = 1
	lowestLevelDB = -40
	highestDB     = 6
	chordVelocity = 100

	endTimeout    = time.Second
	askedInterval = 10 * time.Millisecond // between two looks for bound MIDI messages
	whoInterval   = 300 * time.Millisecond
)

// loop serves the terminal and the status line until the time is over or somebody
// ends it.
func (p *playing) loop(keys *terminal) {
	if keys.Keys() != nil {
		p.line.say(playKeysHint)
	}
	recorder := p.recorder // close forgets it
	defer func() { go exitAtOnce(p.signals, recorder) }()
	ticker := time.NewTicker(statusInterval)
	defer ticker.Stop()
	looks, asks, stopLooks := p.pageWork()
	defer stopLooks()
	p.unshown, p.unseen = lowest, lowest
	asked := time.NewTicker(askedInterval)
	defer asked.Stop()
	for {
		select {
		case <-p.signals:
			return
		case key := <-keys.Keys():
			if key == playStop {
				return
			}
			p.serve(key)
		case <-looks:
			p.showPage()
		case ask := <-asks:
			p.answer(ask)
		case <-asked.C:
			if p.serveAsked() {
				return
			}
		case now := <-ticker.C:
			figures := p.player.Figures()
			p.unseen.note(&figures)
			p.unshown.take(&figures)
			p.show(now, figures)
			if p.options.length > 0 && figures.Seconds >= p.options.length.Seconds() {
				return
			}
		}
	}
}

// exitAtOnce ends the program at the next signal, once the recording's files are whole; at one more whatever they are.
// The system's own way would not do: a signal that meets a thread of a sound library can get lost on it.
func exitAtOnce(signals <-chan os.Signal, recorder *live.Recorder) {
	<-signals
	whole := make(chan struct{})
	go func() {
		defer close(whole)
		if recorder != nil {
			recorder.Close()
		}
	}()
	select {
	case <-whole:
	case <-signals:
	}
	os.Exit(exitInterrupted)
}

// latch holds chords without hands. Nobody would strike those again after a reload: they follow the map.
func (p *playing) latch(on bool) {
	p.player.Latch.Set(on)
	p.following.Store(on || p.options.follow)
	p.engine.Follow(on || p.options.follow)
}

// silence ends all notes at once, on every channel.
func (p *playing) silence() {
	now := live.Now()
	for channel := range byte(16) {
		for _, number := range []byte{engine.ControlHold, engine.ControlSostenuto, engine.ControlSoundOff} {
			p.hand.Push(now, engine.KindControl|channel, number, 0)
		}
	}
}

func (p *playing) show(now time.Time, f live.Figures) {
	p.engine.Snapshot(&p.sounding)
	p.most = max(p.most, len(p.sounding.Cycles))
	p.tellSilentKeys()
	p.watchLastKey()
	if p.blind.on && p.reloads.Load() != p.blind.reloads {
		p.tellBlind() // the message of the reload has told it
	}
	for _, err := range p.engine.TakeReadErrors() {
		p.notice("%v; where it cannot be read, its notes fade to silence", err)
	}
	s := status{
		held: p.sounding.Held(), naming: p.engine.Map().MiddleC, voices: len(p.sounding.Cycles),
		dynamics: int(math.Round(127 * f.Dynamics)), volumeDB: f.VolumeDB, outputDB: p.outputDB,
		peakDBFS: f.PeakDBFS, reductionDB: f.ReductionDB, loadPercent: f.LoadPercent,
		worstLoad: f.WorstLoad, underruns: p.keeper.Underruns(),
		misses: f.Misses, readErrors: f.ReadErrors,
		stolen: f.Stolen + f.Refused, latch: p.player.Latch.On(),
	}
	if p.line.draws() {
		s.screenful = p.screenful(now, f)
	}
	if p.rebuilder != nil {
		s.builtPercent, s.building = p.rebuilder.Percent()
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

// tellSilentKeys says which keys were struck that sound nothing, each once for each map.
func (p *playing) tellSilentKeys() {
	if m := p.engine.Map(); p.silentOn != m {
		p.silentOn, p.silent = m, [2]uint64{}
	}
	for word, keys := range p.engine.TakeSilentKeys() {
		for keys &^= p.silent[word]; keys != 0; keys &= keys - 1 {
			key := 64*word + bits.TrailingZeros64(keys)
			p.silent[word] |= 1 << (key % 64)
			p.notice("%s (key %d) lies in no zone of this map: it is silent", p.silentOn.MiddleC.Name(key), key)
		}
	}
}

// end lets the sound fade, ends all notes, closes everything and reports.
func (p *playing) end() error {
	p.player.FadeOut()
	p.await(p.player.Silent)
	p.silence() // so that the recording ends in silence too
	p.await(func() bool { return p.player.Figures().Voices == 0 })
	figures := p.player.Figures()
	underruns := p.keeper.Underruns()
	sound, _ := p.keeper.Output()
	recordings := []string{}
	if p.recorder != nil {
		recordings = p.recorder.Files()
	}
	p.tellBlind()
	err := p.close()
	p.line.end()
	if reportErr := p.report(sound, figures, underruns, recordings); err == nil {
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
	if p.marking != nil {
		failed = append(failed, p.marking.close())
		p.marking = nil
	}
	if p.maps != nil {
		p.maps.hashing.Wait()
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
