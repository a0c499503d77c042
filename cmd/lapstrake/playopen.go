// What play opens, in which order.

package main

import (
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"syscall"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/live"
	"lapstrake/engine/live/midi"
	"lapstrake/engine/live/output"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
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
	var stage output.Stage
	if err := p.openOutput(m.RateHz, stage.Render); err != nil {
		return err
	}
	if err := p.openEngine(); err != nil {
		return err
	}
	if p.bound, err = p.bindings(); err != nil {
		return err
	}
	p.arrivals = live.NewArrivals(p.engine.Map().RateHz)
	if p.hand, err = p.arrivals.Open(); err != nil {
		return err
	}
	chord, err := parseKeys(p.streams, p.engine.Map().MiddleC, p.options.chord)
	if err != nil {
		return err
	}
	if err := p.openInputs(); err != nil {
		return err
	}
	for _, path := range p.paths() {
		stop, err := live.Watch(path, p.engine, p.reloaded)
		if err != nil {
			return err
		}
		p.closers = append(p.closers, func() error { stop(); return nil })
	}
	if p.options.rebuild {
		if p.rebuilder, err = startRebuilder(filepath.Dir(p.path), p.line.say); err != nil {
			return err
		}
		p.closers = append(p.closers, p.rebuilder.Close)
	}
	if err := p.openPage(); err != nil {
		return err
	}
	// The last that can fail: nothing that was refused leaves a recording behind.
	if p.options.record != "" {
		if err := project.CheckOutput(p.options.record, filepath.Dir(p.path)); err != nil {
			return err
		}
		if p.recorder, err = live.NewRecorder(p.options.record, p.engine.Map().RateHz, p.engine.LatencyFrames(),
			p.applied); err != nil {
			return err
		}
		p.maps.record(p.recorder)
	}
	p.player = live.NewPlayer(p.engine, p.arrivals, p.recorder)
	p.player.Latch.Channel, p.player.Hands.Channel = p.options.player.channel.number, p.options.player.channel.number
	for trigger := range p.bound {
		p.player.Hands.Bind(trigger)
	}
	if p.options.blind {
		p.blindOrTell()
	}
	p.latch(p.options.latch || len(p.options.chord) > 0)
	p.sayOutput()
	p.beUrgent()
	p.strike(chord)
	stage.Begin(p.player.Render)
	return nil
}

func (p *playing) openOutput(rateHz int, render func([]float32)) error {
	settings := p.options.output
	settings.RateHz = rateHz
	settings.Ready = func(frames int) bool {
		e := p.readAhead.Load()
		return e == nil || e.Ready(frames)
	}
	say := func(text string) { p.line.say(text); p.beUrgent() } // another device may have another audio thread
	keeper, err := output.Keep(settings, render, say)
	if wrongRate := (*output.RateError)(nil); errors.As(err, &wrongRate) {
		p.notice("%s runs at %d Hz, the map at %d Hz: it is played at %d Hz", wrongRate.Device, wrongRate.DeviceHz,
			rateHz, wrongRate.DeviceHz)
		settings.RateHz = wrongRate.DeviceHz
		keeper, err = output.Keep(settings, render, say)
	}
	if wrongChoice := (*output.ChoiceError)(nil); errors.As(err, &wrongChoice) {
		err = fmt.Errorf("--device %w", err)
		if len(wrongChoice.Matches) == 0 {
			err = fmt.Errorf("%w; `lapstrake devices` lists them", err)
		}
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
	sound, _ := p.keeper.Output()
	settings.RateHz = sound.RateHz
	toMarks, marked := engine.NewQueue(appliedEvents)
	settings.Applied = []*engine.QueueIn{toMarks}
	if p.options.record != "" {
		in, out := engine.NewQueue(appliedEvents)
		settings.Applied, p.applied = append(settings.Applied, in), out
		p.maps = newPlayedMaps(p.path)
		settings.Opened = p.maps.opened
	}
	for _, path := range p.paths() {
		m, err := mapping.Load(path)
		if err != nil {
			return err
		}
		settings.MostVoices = max(settings.MostVoices, m.Polyphony)
	}
	if p.engine, err = engine.Open(p.path, settings); err != nil {
		return err
	}
	if p.against != "" {
		if err := p.engine.OpenAgainst(p.against); err != nil {
			return fmt.Errorf("--against: %w", err)
		}
	}
	p.trial = live.NewTrial(p.engine)
	p.openNudging()
	p.teller = audible.NewTeller(filepath.Dir(p.path), p.engine)
	p.marking = startMarking(p.path, p.engine, marked, settings, p.teller)
	p.engine.Start(stream.Workers)
	p.readAhead.Store(p.engine)
	return nil
}

func (p *playing) openInputs() error {
	ports, err := midi.OpenPorts(p.arrivals, p.options.ports, p.line.say)
	if err != nil {
		return err
	}
	p.closers = append(p.closers, func() error { ports.Close(); return nil })
	if p.options.raw != "" {
		raw, err := midi.OpenRaw(p.arrivals, p.options.raw, p.line.say)
		if wrong := (*midi.FileError)(nil); errors.As(err, &wrong) {
			return fmt.Errorf("--midi-raw %w; `lapstrake render` plays files", err)
		}
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
	channel := p.channel()
	for _, key := range chord {
		p.hand.Push(now, engine.KindNoteOn|channel, byte(key), chordVelocity)
	}
	for _, key := range chord {
		p.hand.Push(now+1, engine.KindNoteOff|channel, byte(key), 64)
	}
}

func (p *playing) sayOutput() {
	sound, _ := p.keeper.Output()
	later := "" // by the clock nothing is heard, at no time
	if sound.Latency > 0 {
		later = fmt.Sprintf(", %.1f ms from rendering to sound", sound.Latency.Seconds()*1000)
	}
	p.notice("%s: playing on %s at %d Hz, %d frames at a time%s", p.path, sound.Device, sound.RateHz,
		sound.BlockFrames, later)
	p.notice("The output begins 20 dB down and rises in three seconds. Begin with the volume low, on headphones " +
		"above all; the rules of your workplace come first.")
}

// beUrgent asks that nothing that plays and reads waits behind other programs, and says once where the system refuses.
func (p *playing) beUrgent() {
	if err := live.Urgent(); err != nil {
		p.unheard.Do(func() {
			p.notice("no real-time priority (%v): on a busy machine sound may be cut; to allow it, %s", err,
				live.HowToBeUrgent)
		})
	}
}
