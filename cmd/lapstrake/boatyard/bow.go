// Bowed metal: a saw, and the anchor chain.

package boatyard

import "math"

func bows() []Maker {
	return []Maker{
		{Contributor: "Ysolde Creel", Title: "Ripsaw and a fiddle bow", Kind: Held, Soft: true, Loud: true,
			lowKey: 24, highKey: 114, play: saw,
			tape: recording{room: room{7, 0.9, 5500, -8}, peakDB: -9, hissDB: -62, leadSec: 0.12}},
		{Contributor: "Big Withy", Title: "Anchor chain, bowed link by link", Kind: Held, Loud: true,
			lowKey: 24, highKey: 114, play: chain,
			tape: recording{room: room{13, 1.2, 5500, -9}, peakDB: -6, hissDB: -60, leadSec: 0.09, lopsidedDB: 1}},
	}
}

// saw: the player finds the note by bending the blade: it slides up onto the pitch, then the knee shakes it, more and
// more. The bent blade traps nearly a pure tone; a fresh stroke of the bow wakes what lies above it.
func saw(p *player) {
	pure := func(h, hz float64) float64 { return math.Pow(h, -2.2) * smallness(hz, 80) }
	bowed := func(h, hz float64) float64 {
		return math.Pow(h, -0.8) * (0.3 + 0.8*peak(hz, 1750, 3)) * rolloff(hz, p.lean(1100, 3000),
			12) * smallness(hz, 80)
	}
	bow := p.swells(p.lean(4.8, 3.2), 0.3)
	shake := p.vibrato(2.2, p.noise.between(5, 6), 4)
	amp := p.envelope(0.25, 0.6).times(bow.inDB(5)).times(shake.scaled(0.08, 1))
	cents := p.wander(3.7, 0.3).plus(shake).centred(amp).plus(p.glide(-140, 0.13))
	p.morph(p.mid, p.rootHz, pure, bowed, cents, amp, p.arc(bow))
	setRMS(p.mid, 0.25)
	p.hush(p.mid, p.lean(0.007, 0.02), bow.times(amp), bandpass(p.rateHz, 3900, 0.8))
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
		gain := math.Pow(ratio, -0.45) * rolloff(hz, p.lean(1800, 4400), 6) * p.noise.decibels(4) / math.Hypot(1,
			140/hz)
		links = append(links, mode{hz, gain, p.noise.between(0.25, 1.1)})
		power += gain * gain
	}
	for i := range links {
		links[i].gain *= 0.16 / math.Sqrt(power)
	}
	bow := p.swells(2.6, 0.35)
	amp := p.envelope(0.2, 0.5).times(bow.inDB(5))
	rub := p.buffer()
	p.hush(rub, 1, bow.times(amp).times(p.drift(0.5, 23).scaled(1, 1)))
	p.ring(p.mid, p.driven(links), rub)
	dark := func(h, hz float64) float64 { return math.Pow(h, -1.2) * rolloff(hz, 700, 9) * smallness(hz, 80) }
	rasp := func(h, hz float64) float64 {
		return math.Pow(h, -0.6) * rolloff(hz, p.lean(1200, 4000), 9) * smallness(hz, 80)
	}
	tone := p.buffer()
	cents := p.wander(4.8, 0.33).plus(p.drift(1, 5)).centred(amp).plus(p.glide(18, 0.2))
	p.morph(tone, p.rootHz, dark, rasp, cents, amp, p.arc(bow))
	setRMS(tone, 0.2)
	for i, v := range tone {
		p.mid[i] += v
	}
	p.hush(p.mid, p.lean(0.008, 0.03), bow.times(amp), bandpass(p.rateHz, 5200, 0.7))
}
