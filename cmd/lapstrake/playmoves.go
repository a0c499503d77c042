// Moves that a key makes: controllers, transposing, the output's level.

package main

import (
	"math"

	"lapstrake/engine"
	"lapstrake/engine/live"
)

const (
	turnStep       = 4 // of a controller's 127
	mostTransposed = 48
)

// turn moves dynamics or volume by a step, as a wheel would: it is part of the performance.
func (p *playing) turn(key playKey) {
	stats, m := p.engine.Stats(), p.engine.Map()
	number, value := m.Dynamics.Controller, int(math.Round(127*stats.Dynamics))
	if key == playVolumeUp || key == playVolumeDown {
		if len(m.Volume.Controllers) == 0 {
			p.notice("this map has no volume controller: + and - move the output's level")
			return
		}
		number, value = m.Volume.Controllers[0], stats.Volume
	}
	step := turnStep
	if key == playDynamicsDown || key == playVolumeDown {
		step = -turnStep
	}
	value = min(max(value+step, 0), 127)
	p.hand.Push(live.Now(), engine.KindControl|p.channel(), byte(number), byte(value))
}

// channel is that on which this program plays itself.
func (p *playing) channel() byte { return byte(max(p.options.player.channel.number, 1) - 1) }

func (p *playing) setOutput(levelDB float64) {
	p.outputDB = min(max(levelDB, lowestLevelDB), highestDB)
	p.player.SetLevel(p.outputDB)
}

// transpose moves the keys to come. A latched chord, which no hand would strike again, moves along.
func (p *playing) transpose(semitones int) {
	before := p.player.Hands.Transposed()
	now := before + semitones
	if now < -mostTransposed || now > mostTransposed {
		p.notice("keys are transposed by %+d semitones: expected no more than %d either way", before, mostTransposed)
		return
	}
	p.player.Hands.Transpose(now)
	if !p.player.Latch.Resting() {
		return
	}
	var chord []int
	held := p.sounding.Held()
	for key := range 128 {
		if source := key - before; held[key/64]>>(key%64)&1 != 0 && source >= 0 && source < 128 {
			chord = append(chord, source)
		}
	}
	p.strike(chord)
}
