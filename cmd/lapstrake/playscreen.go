// What play knows for the screen.

package main

import (
	"math"
	"path/filepath"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/mapping/project"
)

// screenful gathers what the screen shows beyond the status line.
func (p *playing) screenful(now time.Time, f live.Figures) screenful {
	number, cycles := p.engine.Latest()
	p.view.take(number, cycles)
	if now.Sub(p.whoAt) >= whoInterval {
		p.who, p.whoAt = p.teller.Now(p.sounding.Cycles), now
	}
	s := screenful{
		layers: p.layerShares(f.Dynamics), lateEvents: p.arrivals.Late(), lostEvents: p.arrivals.Dropped(),
		transposed: p.player.Hands.Transposed(), mostZones: cycles.Map.MostZones(), picks: p.picksText(),
		chordReturn: p.view.back.text(&p.sounding, cycles.Map.RateHz), against: p.againstText(),
		nudged: p.nudgeText(), tried: len(p.engine.Nudges()), recordingPath: filepath.Base(p.options.record),
	}
	if p.blind.on { // roots and names would tell which map plays
		s.heldKeys = p.view.names(&p.sounding)
	} else {
		s.heldKeys = p.view.keys(&p.sounding, p.who)
	}
	return s
}

// layerShares are the parts of the layers in the sound's power, of those that sound at a place of the dynamics.
func (p *playing) layerShares(dynamics float64) (shares []layerShare) {
	m := p.engine.Map()
	gains, sum := make([]float64, len(m.Layers)), 0.0
	m.LayerGains(dynamics, gains)
	for _, gain := range gains {
		sum += gain * gain
	}
	for i, gain := range gains {
		percent := 0
		if sum > 0 {
			percent = int(math.Round(100 * gain * gain / sum))
		}
		if gain > 0 || len(gains) <= 2 {
			shares = append(shares, layerShare{m.Layers[i], percent})
		}
	}
	return shares
}

// watchLastKey keeps which key was struck last.
func (p *playing) watchLastKey() {
	for i := range p.sounding.Cycles {
		if c := &p.sounding.Cycles[i]; c.BeganFrame >= p.lastFrame && c.State <= engine.NotePedal {
			p.lastFrame, p.lastKey = c.BeganFrame, c.Key
		}
	}
}

// bindings are what MIDI messages do, as the project's settings have it.
func (p *playing) bindings() (map[live.Trigger]playKey, error) {
	settings, err := project.Load(filepath.Dir(p.path))
	if err != nil {
		return nil, err
	}
	named, err := settings.Keys.Triggers()
	if err != nil {
		return nil, err
	}
	bound := map[live.Trigger]playKey{}
	for trigger, setting := range named {
		bound[live.Trigger{Controller: trigger.Controller, Number: byte(trigger.Number)}] = keyOfSetting(setting)
	}
	return bound, nil
}

// serveAsked does what bound messages ask; stops says that one of them ends the program.
func (p *playing) serveAsked() (stops bool) {
	for {
		trigger, some := p.player.Hands.Asked()
		if !some {
			return false
		}
		key := p.bound[trigger]
		if key == playStop {
			return true
		}
		p.serve(key)
	}
}
