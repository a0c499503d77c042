// Machines: the hand winch, an outboard idling.

package boatyard

import "math"

func machines() []Maker {
	return []Maker{
		{Contributor: "Bram Cordage, slip two", Title: "Hand winch, pawl and drum", Kind: Held, Loud: true,
			lowKey: 24, highKey: 102, play: winch,
			tape: recording{room: room{11, 0.5, 4500, -14}, peakDB: -4, hissDB: -60, leadSec: 0.06}},
		{Contributor: "Fen Ferriby, first ferry", Title: "Outboard idling", Kind: Held, Loud: true,
			lowKey: 24, highKey: 78, play: outboard,
			tape: recording{room: room{25, 0.6, 2600, -11}, peakDB: -5, hissDB: -56, leadSec: 0.05, topHz: 12000,
				mono: true}},
	}
}

// winch: a pawl falls into its ratchet seven or eight times a second, never evenly, and rings the drum; gears and
// bearings keep the drum droning at its own note.
func winch(p *player) {
	drum := body{[]float64{1, 2.31, 3.89, 5.12, 7.4, 9.9}, []float64{0.3, 0.6, 0.7, 0.5, 0.4, 0.3},
		material{0.4, 500, 0.5, 0.05, 0.8}}
	clicks := p.buffer()
	end, rate := float64(p.frames)/p.rateHz, p.noise.between(6.6, 8.2)
	heave := p.swells(2.4, 0.45)
	for t := 0.0; t < end; t += p.noise.between(0.82, 1.18) / rate {
		now := heave[min(int(t*p.rateHz)/hop, len(heave)-1)]
		if now < 0.12 {
			continue // he takes a new grip
		}
		fall := p.push(blow{strength: now * p.noise.between(0.6, 1), contactSec: p.lean(0.0009, 0.0003), grit: 0.9})
		for i, at := 0, p.frameAt(t); i < len(fall) && at+i < len(clicks); i++ {
			clicks[at+i] += fall[i]
		}
		p.knock(t, 4300, 1.1, 0.03, now*p.lean(0.05, 0.2))
	}
	p.ring(p.mid, p.modes(drum, p.rootHz), clicks)
	slack := func(h, hz float64) float64 { return math.Pow(h, -1.4) * rolloff(hz, 420, 9) * smallness(hz, 90) }
	taut := func(h, hz float64) float64 {
		return math.Pow(h, -0.6) * rolloff(hz, p.lean(900, 3000), 9) * (0.3 + peak(hz, 1240, 3)) * smallness(hz, 90)
	}
	amp := p.envelope(0.1, 0.4).times(heave.inDB(5)).times(p.drift(0.2, 11).scaled(1, 1))
	drone := p.buffer()
	p.morph(drone, p.rootHz, slack, taut, p.wander(4.6, 0.35).plus(p.drift(1, 8)).centred(amp), amp, p.arc(heave))
	setRMS(drone, 0.13)
	for i, v := range drone {
		p.mid[i] += v
	}
	p.hush(p.mid, p.lean(0.01, 0.025), amp, bandpass(p.rateHz, 520, 0.5)) // teeth grinding
}

// outboard: one puff of exhaust a period, no two alike; the pipe and the water round it shape them, and each puff
// carries its own burst of noise. The throttle is tried again and again, and what it opens is the pipe's upper tones.
func outboard(p *player) {
	pipe := func(steep, kneeHz float64) spectrum {
		return func(h, hz float64) float64 {
			return (0.2 + peak(hz, 105, 2) + 0.9*peak(hz, 250, 3) + 0.7*peak(hz, 640, 3) + 0.6*peak(hz, 1700, 3)) *
				math.Pow(h, -steep) * rolloff(hz, kneeHz, 9) * smallness(hz, 60)
		}
	}
	throttle := p.swells(2.8, 0.3)
	uneven := p.drift(0.25, 31).plus(p.drift(0.25, 6.5)).scaled(1, 1)
	amp := p.envelope(0.12, 0.3).times(throttle.inDB(4)).times(uneven)
	cents := p.wander(4.4, 0.4).plus(p.drift(1.4, 9)).centred(amp)
	p.morph(p.mid, p.rootHz, pipe(0.6, 350), pipe(0.1, p.lean(900, 3000)), cents, amp, p.arc(throttle))
	setRMS(p.mid, 0.2)
	puffs := p.wave([]float64{0.5, 0.35, 0.15}[:min(3, len(p.harmonics(p.rootHz, pipe(0, 1000))))], nil)
	open := p.buffer()
	p.sing(open, puffs, p.rootHz, cents, amp, p.noise.unit())
	spray := p.buffer()
	p.hush(spray, p.lean(0.05, 0.13), throttle.inDB(10), bandpass(p.rateHz, 1100, 0.5), lowpass(p.rateHz, 6000, 0.7))
	for i, v := range spray {
		p.mid[i] += v * max(0, 0.25+open[i])
	}
	// bubbling
	p.hush(p.mid, p.lean(0.02, 0.04), p.drift(0.8, 5).scaled(1, 1).times(throttle.less()), bandpass(p.rateHz, 330,
		1.2))
}
