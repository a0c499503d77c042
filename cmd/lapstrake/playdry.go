// The beds under the last key, as they are.

package main

import (
	"lapstrake/engine"
	"lapstrake/mapping/sound"
)

// dryTurn is which bed was heard dry last.
type dryTurn struct{ key, zone int }

// playDry plays the bed that sounds in the first zone of the last key, from its top, at its root's pitch and its level
// in the map; asked again while it plays, that of the next zone, and after the last one the music.
func (p *playing) playDry() {
	turn := 0
	if p.player.IsDry() && p.dry.key == p.lastKey {
		turn = p.dry.zone + 1
	}
	var zones []*engine.SoundingCycle // the loudest layer of each
	for i := range p.sounding.Cycles {
		c := &p.sounding.Cycles[i]
		number, _ := p.engine.Latest()
		if c.Key != p.lastKey || c.State > engine.NotePedal || c.MapNumber != number {
			continue
		}
		if last := len(zones) - 1; last >= 0 && zones[last].Zone == c.Zone {
			if c.Gain > zones[last].Gain {
				zones[last] = c
			}
		} else {
			zones = append(zones, c)
		}
	}
	if len(zones) == 0 {
		p.notice("no key is held whose bed could be heard")
		return
	}
	if turn >= len(zones) {
		p.player.PlayDry(nil)
		return
	}
	p.dry = dryTurn{p.lastKey, turn}
	c := zones[turn]
	m, cycle := p.engine.Map(), p.engine.Cycles().Cycle(c.Zone, c.Layer)
	bed, next, over := cycle.BedsAt(c.AtFrame)
	if over > 0.5 {
		bed = next
	}
	stereo, err := cycle.ReadBed(bed)
	if err != nil {
		p.notice("%v", err)
		return
	}
	p.notice("dry: %s, at its root %s", cycle.BedName(bed), m.MiddleC.Name(m.Zones[c.Zone].Root))
	p.player.PlayDry(atRate(stereo, cycle.RateHz, m.RateHz, sound.DBToAmplitude(-m.HeadroomDB)))
}

// atRate is stereo sound at another rate, times a gain.
func atRate(stereo []float32, fromHz, toHz int, gain float64) []float32 {
	left, right := make([]float32, len(stereo)/2), make([]float32, len(stereo)/2)
	for i := range left {
		left[i], right[i] = stereo[2*i]*float32(gain), stereo[2*i+1]*float32(gain)
	}
	channels := [][]float32{left, right}
	if fromHz != toHz {
		sound.Resample(channels, float64(toHz)/float64(fromHz))
	}
	out := make([]float32, 2*len(channels[0]))
	for i := range channels[0] {
		out[2*i], out[2*i+1] = channels[0][i], channels[1][i]
	}
	return out
}
