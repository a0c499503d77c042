// Glass: net floats knocking together, a lantern's chimney rubbed with a wet finger.

package boatyard

import "math"

// The modes of a wine glass: the Csound manual, appendix "Modal Frequency Ratios".
var glassBody = body{[]float64{1, 2.32, 4.25, 6.63, 9.38}, []float64{1, 0.5, 0.3, 0.16, 0.08}, glass}

func glasses() []Maker {
	return []Maker{
		{Contributor: "The Pennywick twins", Title: "Net floats in a basket", Kind: Struck, Soft: true,
			lowKey: 54, highKey: 114, tailSec: 1.6, play: floats,
			tape: recording{room: room{6, 0.6, 6500, -6}, peakDB: -10, hissDB: -65, leadSec: 0.13}},
		{Contributor: "Dorrit Lamplough", Title: "Lantern chimney, wet finger", Kind: Held, Soft: true,
			lowKey: 54, highKey: 114, play: lantern,
			tape: recording{room: room{5, 0.8, 6000, -5}, peakDB: -16, hissDB: -70, leadSec: 0.3}},
	}
}

// floats: one float against another, so two blows close together, the second on a softer spot.
func floats(p *player) {
	modes := p.modes(glassBody, p.rootHz)
	p.strike(p.mid, modes, blow{0, 1, p.lean(0.0012, 0.0004), 0.1})
	p.strike(p.mid, modes, blow{p.noise.between(0.02, 0.09), p.noise.between(0.2, 0.5), 0.0014, 0.1})
}

// lantern: the finger goes round; the glass has four places where it swings most, so each turn is heard as two
// swells. What sticks and slips is periodic: the partials are harmonics, and few.
func lantern(p *player) {
	gain := func(h, hz float64) float64 { return math.Pow(h, -1) * rolloff(hz, 700, 14) * smallness(hz, 80) }
	w := p.wave(p.harmonics(p.rootHz, gain), p.phases())
	turn, start := p.noise.between(0.55, 0.8), p.noise.unit()
	swell := p.curve(func(t float64) float64 { return 0.72 + 0.28*math.Sin(4*math.Pi*(turn*t+start)) })
	amp := swell.times(p.envelope(0.7, 0.6)).times(p.drift(0.15, 0.8).scaled(1, 1))
	cents := p.wander(5, 0.3).plus(p.vibrato(0.8, 2*turn, 0.1)).centred(amp).plus(p.glide(-25, 0.15))
	p.sing(p.mid, w, p.rootHz, cents, amp, p.noise.unit())
	setRMS(p.mid, 0.3)
	p.hush(p.mid, 0.006, amp, bandpass(p.rateHz, 3300, 1.5)) // skin on wet glass
}
