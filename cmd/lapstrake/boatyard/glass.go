// Glass: net floats knocking together, a lantern's chimney rubbed with a wet finger.

package boatyard

import "math"

// The modes of a wine glass: the Csound manual, appendix "Modal Frequency Ratios".
var glassBody = body{[]float64{1, 2.32, 4.25, 6.63, 9.38}, []float64{1, 0.5, 0.3, 0.16, 0.08}, glass}

func glasses() []Maker {
	return []Maker{
		{Contributor: "The Pennywick twins", Title: "Net floats in a basket", Kind: Struck, Soft: true,
			lowKey: 54, highKey: 114, tailSec: 1.6, play: floats,
			tape: recording{room: room{6, 0.6, 6500, -8}, peakDB: -12, hissDB: -65, leadSec: 0.13}},
		{Contributor: "Dorrit Lamplough", Title: "Lantern chimney, wet finger", Kind: Held, Soft: true,
			lowKey: 54, highKey: 114, play: lantern,
			tape: recording{room: room{5, 0.8, 6000, -8}, peakDB: -16, hissDB: -70, leadSec: 0.3}},
	}
}

// floats: one float against another, so two blows close together, the second on a softer spot; the basket creaks.
func floats(p *player) {
	modes := p.modes(glassBody, p.rootHz)
	p.strike(p.mid, modes, blow{0, 1, p.lean(0.0016, 0.0003), 0.1})
	second := p.buffer()
	p.strike(second, modes, blow{p.noise.between(0.02, 0.09), p.noise.between(0.3, 0.6), 0.0014, 0.1})
	p.spread(second, p.noise.between(-0.9, 0.9))
	p.ease(p.lean(0.025, 0.0005))
	p.knock(0.01, 6200, 2, 0.05, 0.01)
}

// lantern: the finger goes round; the glass has four places where it swings most, so each turn is heard as two
// swells. What sticks and slips is periodic: the partials are harmonics. Pressed harder, the glass begins to sing
// high up, where it is thin.
func lantern(p *player) {
	pure := func(h, hz float64) float64 { return math.Pow(h, -2.2) * smallness(hz, 80) }
	singing := func(h, hz float64) float64 {
		return math.Pow(h, -0.9) * (0.2 + peak(hz, 3100, 4) + 0.5*peak(hz, 5200, 5)) * rolloff(hz, 6500,
			14) * smallness(hz, 80)
	}
	turn, start := p.noise.between(0.45, 0.7), p.noise.unit()
	swing := p.curve(func(t float64) float64 { return 0.78 + 0.22*math.Sin(4*math.Pi*(turn*t+start)) })
	press := p.swells(5, 0.65)
	amp := swing.times(p.envelope(0.5, 0.6)).times(press.inDB(4))
	cents := p.wander(5, 0.3).plus(p.vibrato(0.8, 2*turn, 0.1)).centred(amp).plus(p.glide(-25, 0.15))
	p.morph(p.mid, p.rootHz, pure, singing, cents, amp, p.arc(press))
	setRMS(p.mid, 0.3)
	p.hush(p.mid, 0.01, amp, bandpass(p.rateHz, 6300, 1.5)) // skin on wet glass
}
