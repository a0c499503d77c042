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
			tape: recording{room: room{18, 0.5, 3000, -17}, peakDB: -12, hissDB: -56, leadSec: 0.1, lopsidedDB: 2.5}},
		{Contributor: "Pell Garnock", Title: "Forestay, cello bow", Kind: Held, Loud: true,
			lowKey: 24, highKey: 114, play: forestay,
			tape: recording{room: room{12, 1.1, 4500, -9}, peakDB: -5, hissDB: -63, leadSec: 0.08}},
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
	cutHz := p.lean(500, 5500) // a marlinspike is round: high partials start weak
	var modes []mode
	for n := 1.0; n <= mostPartials; n++ {
		hz := p.rootHz * n * math.Sqrt((1+stiffness*n*n)/(1+stiffness))
		if hz > topShare*p.rateHz || hz > 14000 {
			break
		}
		gain := math.Sin(math.Pi*n*at) / math.Pow(n, 0.9) * rolloff(hz, cutHz, 8) / math.Hypot(1, 110/hz)
		modes = append(modes, mode{hz, gain, steel.decaySec(hz) * 0.8})
	}
	p.strike(p.mid, modes, blow{0, 1, p.lean(0.001, 0.0002), 0.2})
	p.ease(p.lean(0.025, 0.0002))
	p.knock(0, 2400, 1, 0.03, p.lean(0.008, 0.12)) // the spike leaves the wire
}

// aeolian: eddies behind a wire come off at a frequency that goes with the wind's speed, and hold on to the partial
// that lies there. As a gust rises, the wire climbs through its partials, a group of them at a time, and comes down
// again.
func aeolian(p *player) {
	around := func(centreHz, width float64) spectrum {
		return func(h, hz float64) float64 {
			octaves := math.Log2(hz / centreHz)
			return (0.12*math.Pow(h, -1.3) + math.Exp(-octaves*octaves/width)) *
				rolloff(hz, 7000, 12) * smallness(hz, 70)
		}
	}
	gust := p.swells(p.lean(9, 8), 0.6)
	flutter := p.drift(0.22, 7).scaled(1, 1)
	swell := p.envelope(0.4, 0.5).times(gust.inDB(6)).times(flutter)
	cents := p.wander(4.8, 0.33).plus(p.drift(1, 5)).centred(swell)
	p.morph(p.mid, p.rootHz, around(p.rootHz, 0.5), around(max(4.2*p.rootHz, p.lean(900, 2200)), 0.7), cents, swell,
		gust)
	setRMS(p.mid, 0.25)
	for _, place := range []float64{-0.8, 0.8} {
		air := p.buffer()
		blown := gust.inDB(14).times(p.envelope(0.3, 0.5)).times(p.drift(0.3, 3).scaled(1, 1))
		p.hush(air, p.lean(0.02, 0.06), blown, bandpass(p.rateHz, 700, 0.5))
		p.hush(air, p.lean(0.012, 0.03), blown, highpass(p.rateHz, 3400, 0.6), lowpass(p.rateHz, 9000, 0.7))
		p.spread(air, place)
	}
}

// forestay: the bow pulls a saw-tooth out of the wire; the hull is its sounding board, with resonances of its own.
// Each stroke digs in near the fitting, where it bites, and drifts away from it.
func forestay(p *player) {
	hull := func(steep, kneeHz, biteDB float64) spectrum {
		return func(h, hz float64) float64 {
			board := 0.25 + peak(hz, 170, 3) + 0.9*peak(hz, 430, 4) + 0.8*peak(hz, 960, 4) +
				dB(biteDB)*peak(hz, 2600, 2.5)
			return board * math.Pow(h, -steep) * rolloff(hz, kneeHz, 10) * smallness(hz, 110)
		}
	}
	bow := p.swells(p.lean(4, 2.7), 0.28)
	amp := p.envelope(0.1, 0.4).times(bow.inDB(5)).times(p.drift(0.08, 9).scaled(1, 1))
	shake := p.vibrato(1.6, p.noise.between(5, 5.8), 4)
	cents := p.wander(4.4, 0.3).plus(shake).centred(amp).plus(p.glide(12, 0.1))
	p.morph(p.mid, p.rootHz, hull(1.2, 600, -12), hull(0.7, p.lean(1600, 4200), 0), cents,
		amp.times(shake.scaled(0.05, 1)), p.arc(bow))
	setRMS(p.mid, 0.2)
	p.hush(p.mid, p.lean(0.006, 0.02), bow.times(amp), bandpass(p.rateHz, 3400, 0.7)) // hair and rust
	p.knock(0, 1500, 0.7, 0.09, p.lean(0.05, 0.3))
}
