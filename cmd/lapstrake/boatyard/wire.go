// Wire: rigging plucked, sung in by the wind, bowed.

package boatyard

import "math"

func wires() []Maker {
	return []Maker{
		{Contributor: "Jory Skerrit", Title: "Shroud, plucked with a marlinspike", Kind: Struck,
			Soft: true, Loud: true, lowKey: 24, highKey: 96, tailSec: 1.8, play: pluck,
			tape: recording{room: room{7, 0.4, 4000, -13}, peakDB: -9, hissDB: -61, leadSec: 0.09}},
		{Contributor: "Nan Tidewell", Title: "Wind in the shrouds", Kind: Held, Soft: true, Loud: true,
			lowKey: 24, highKey: 114, play: aeolian,
			tape: recording{room: room{18, 0.5, 3000, -17}, peakDB: -11, hissDB: -56, leadSec: 0.1, lopsidedDB: 2.5}},
		{Contributor: "Pell Garnock", Title: "Forestay, cello bow", Kind: Held, Loud: true,
			lowKey: 24, highKey: 114, play: forestay,
			tape: recording{room: room{12, 1.1, 4500, -4}, peakDB: -5, hissDB: -63, leadSec: 0.08}},
	}
}

// stiffness is the wire's inharmonicity coefficient: partial n lies at n·√(1+B·n²), rescaled here so that the first is
// the root (Fletcher 1964).
const stiffness = 2.2e-4

// pluck: a stiff steel wire pulled aside at about a fifth of its length and let go; where it is pulled decides which
// partials are missing.
func pluck(p *player) {
	const mostPartials = 90
	at := p.noise.between(0.15, 0.24)
	cutHz := p.lean(900, 5200) // a marlinspike is round: high partials start weak
	var modes []mode
	for n := 1.0; n <= mostPartials; n++ {
		hz := p.rootHz * n * math.Sqrt((1+stiffness*n*n)/(1+stiffness))
		if hz > topShare*p.rateHz || hz > 14000 {
			break
		}
		gain := math.Sin(math.Pi*n*at) / math.Pow(n, 0.9) * rolloff(hz, cutHz, 8) / math.Hypot(1, 110/hz)
		modes = append(modes, mode{hz, gain, steel.decaySec(hz) * 0.8})
	}
	p.strike(p.mid, modes, blow{0, 1, 0.0003, 0.2})
	p.knock(0, 2400, 1, 0.03, p.lean(0.02, 0.07)) // the spike leaves the wire
}

// aeolian: eddies behind a wire come off at the frequency of the partial that they set swinging, and hold on to it;
// gusts bring the second and third partial out and die down again.
func aeolian(p *player) {
	low := func(h, hz float64) float64 { return math.Pow(h, -1.25) * rolloff(hz, 520, 9) * smallness(hz, 70) }
	high := func(h, hz float64) float64 {
		return low(h, hz) * 1.4 * (0.35 + 1.3*math.Exp(-(h-2.6)*(h-2.6)/3)) * math.Pow(h, 0.5)
	}
	phases := p.phases()
	calm := p.wave(p.harmonics(p.rootHz, low), phases)
	gusty := p.wave(p.harmonics(p.rootHz, high), phases)
	gust := p.drift(0.5, 0.33).scaled(1, 0.5)
	flutter := p.drift(0.22, 7).scaled(1, 1)
	env := p.envelope(0.5, 0.5).times(flutter)
	share := gust.scaled(p.lean(0.6, 0.95), 0)
	swell := gust.scaled(0.5, 0.6).times(env)
	cents := p.wander(4.8, 0.33).plus(p.drift(1, 5)).centred(swell)
	phase := p.noise.unit()
	p.sing(p.mid, calm, p.rootHz, cents, swell.times(share.scaled(-1, 1)), phase)
	p.sing(p.mid, gusty, p.rootHz, cents, swell.times(share), phase)
	setRMS(p.mid, 0.25)
	air := swell.times(p.drift(0.3, 3).scaled(1, 1))
	p.hush(p.mid, p.lean(0.03, 0.10), air, bandpass(p.rateHz, 700, 0.5))
	p.hush(p.mid, p.lean(0.02, 0.07), air, bandpass(p.rateHz, min(p.rootHz*2, 6000), 6))
	p.hush(p.mid, p.lean(0.006, 0.03), air, highpass(p.rateHz, 3000, 0.6), lowpass(p.rateHz, 9000, 0.7))
}

// forestay: the bow pulls a saw-tooth out of the wire; the hull is its sounding board, with resonances of its own.
func forestay(p *player) {
	knee := p.lean(700, 2200)
	gain := func(h, hz float64) float64 {
		hull := 0.25 + peak(hz, 170, 3) + 0.9*peak(hz, 430, 4) + 0.8*peak(hz, 960, 4) + 0.6*peak(hz, 2100, 3)
		return hull * math.Pow(h, -0.85) * rolloff(hz, knee, 10) * smallness(hz, 110)
	}
	w := p.wave(p.harmonics(p.rootHz, gain), p.phases())
	amp := p.envelope(0.18, 0.4).times(p.drift(0.25, 0.9).scaled(1, 1)).times(p.drift(0.08, 9).scaled(1, 1))
	cents := p.wander(5, 0.3).plus(p.drift(0.8, 6)).centred(amp).plus(p.glide(12, 0.1))
	p.sing(p.mid, w, p.rootHz, cents, amp, p.noise.unit())
	setRMS(p.mid, 0.2)
	p.hush(p.mid, p.lean(0.012, 0.035), amp, bandpass(p.rateHz, 2400, 0.7)) // hair and rust
	p.knock(0, 1500, 0.7, 0.12, 0.15)
}
