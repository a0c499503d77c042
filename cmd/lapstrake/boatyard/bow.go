// Bowed metal: a saw, and the anchor chain.

package boatyard

import "math"

func bows() []Maker {
	return []Maker{
		{Contributor: "Ysolde Creel", Title: "Ripsaw and a fiddle bow", Kind: Held, Soft: true, Loud: true,
			lowKey: 24, highKey: 114, play: saw,
			tape: recording{room: room{7, 0.9, 5500, -4}, peakDB: -8, hissDB: -62, leadSec: 0.12}},
		{Contributor: "Big Withy", Title: "Anchor chain, bowed link by link", Kind: Held, Loud: true,
			lowKey: 24, highKey: 114, play: chain,
			tape: recording{room: room{13, 1.2, 5500, -6}, peakDB: -7, hissDB: -60, leadSec: 0.09, lopsidedDB: 1}},
	}
}

// saw: the player finds the note by bending the blade: it slides up onto the pitch, then the knee shakes it. The
// bent blade traps nearly a pure tone; the bow's scratch lies above.
func saw(p *player) {
	gain := func(h, hz float64) float64 {
		return math.Pow(h, -1) * rolloff(hz, p.lean(420, 800), 12) * smallness(hz, 80)
	}
	w := p.wave(p.harmonics(p.rootHz, gain), p.phases())
	amp := p.envelope(0.3, 0.6).times(p.drift(0.18, 0.8).scaled(1, 1))
	shake := p.vibrato(2.2, p.noise.between(5, 6), 1)
	cents := p.wander(3.7, 0.3).plus(shake).centred(amp).plus(p.glide(-140, 0.13))
	p.sing(p.mid, w, p.rootHz, cents, amp.times(shake.scaled(0.03, 1)), p.noise.unit())
	setRMS(p.mid, 0.25)
	p.hush(p.mid, p.lean(0.004, 0.016), amp, bandpass(p.rateHz, 2900, 0.8))
}

// chain: hanging links, each with modes of its own, none in a simple ratio; friction feeds them all and stays
// longest on the one that the bow favours.
func chain(p *player) {
	var links []mode
	ratio, power := 1.0, 0.0
	for len(links) < maxModes {
		ratio += p.noise.between(0.19, 0.62) * math.Sqrt(ratio)
		hz := ratio * p.rootHz
		if hz > min(topShare*p.rateHz, 11000) {
			break
		}
		gain := math.Pow(ratio, -0.45) * rolloff(hz, p.lean(1500, 3600), 6) * p.noise.decibels(4) /
			math.Hypot(1, 140/hz)
		links = append(links, mode{hz, gain, p.noise.between(0.25, 1.1)})
		power += gain * gain
	}
	for i := range links {
		links[i].gain *= 0.16 / math.Sqrt(power)
	}
	amp := p.envelope(0.35, 0.5).times(p.drift(0.25, 0.7).scaled(1, 1))
	rub := p.buffer()
	p.hush(rub, 1, amp.times(p.drift(0.5, 23).scaled(1, 1)))
	p.ring(p.mid, p.driven(links), rub)
	gain := func(h, hz float64) float64 { return math.Pow(h, -1) * rolloff(hz, 800, 9) * smallness(hz, 80) }
	w := p.wave(p.harmonics(p.rootHz, gain), p.phases())
	tone := p.buffer()
	cents := p.wander(4.8, 0.33).plus(p.drift(1, 5)).centred(amp).plus(p.glide(18, 0.2))
	p.sing(tone, w, p.rootHz, cents, amp, p.noise.unit())
	setRMS(tone, 0.2)
	for i, v := range tone {
		p.mid[i] += v
	}
	p.hush(p.mid, p.lean(0.01, 0.035), amp, bandpass(p.rateHz, 4200, 0.6))
}
