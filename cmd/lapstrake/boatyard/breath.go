// Breath: a bottle, a kettle, the foghorn.

package boatyard

import "math"

func breaths() []Maker {
	return []Maker{
		{Contributor: "Wick Samphire", Title: "Cider bottle, blown across", Kind: Held, Soft: true,
			lowKey: 24, highKey: 114, play: bottle,
			tape: recording{room: room{4, 0.3, 5000, -10}, peakDB: -9, hissDB: -62, leadSec: 0.16, mono: true}},
		{Contributor: "Harriet Slake, harbour office", Title: "Kettle on the harbour stove", Kind: Held, Loud: true,
			lowKey: 60, highKey: 114, play: kettle,
			tape: recording{room: room{4, 0.5, 6500, -7}, peakDB: -6, hissDB: -60, leadSec: 0.12, lopsidedDB: -1}},
		{Contributor: "Cuthbert Ness, keeper", Title: "Foghorn from the inner light", Kind: Held, Loud: true,
			lowKey: 24, highKey: 72, play: foghorn,
			tape: recording{room: room{60, 2.2, 1800, -3}, peakDB: -3, hissDB: -55, leadSec: 0.2, topHz: 9000}},
	}
}

// bottle: a jet of breath across the neck of a Helmholtz resonator. The tone has hardly any harmonics; the same
// resonance colours the breath's noise, and the rest of the noise passes by.
func bottle(p *player) {
	gain := func(h, hz float64) float64 { return math.Pow(h, -1.6) * rolloff(hz, 450, 9) * smallness(hz, 90) }
	w := p.wave(p.harmonics(p.rootHz, gain), p.phases())
	breath := p.envelope(0.16, 0.35).times(p.drift(0.25, 0.8).scaled(1, 1))
	amp := breath.times(p.drift(0.15, 9).scaled(1, 0.9))
	cents := p.wander(4.9, 0.35).plus(p.drift(1, 5)).centred(amp).plus(p.glide(-22, 0.09))
	p.sing(p.mid, w, p.rootHz, cents, amp, p.noise.unit())
	setRMS(p.mid, 0.3)
	air := p.lean(0.05, 0.14)
	p.hush(p.mid, air, breath, bandpass(p.rateHz, p.rootHz, 14))
	p.hush(p.mid, air, breath, bandpass(p.rateHz, min(max(p.rootHz*3, 700), 4000), 0.8))
	p.hush(p.mid, air/2, breath, highpass(p.rateHz, 2500, 0.7), lowpass(p.rateHz, 8000, 0.7))
	p.knock(0, min(max(p.rootHz*2.7, 500), 5000), 1.5, 0.12, 0.35) // the chiff before the tone speaks
}

// kettle: the whistle's edge tone creeps up to its pitch as the steam gathers, and never stands still.
func kettle(p *player) {
	gain := func(h, hz float64) float64 { return math.Pow(h, -1.3) * rolloff(hz, 900, 9) * smallness(hz, 90) }
	w := p.wave(p.harmonics(p.rootHz, gain), p.phases())
	steam := p.envelope(0.3, 0.5)
	amp := p.envelope(0.6, 0.4).times(p.drift(0.2, 1.3).scaled(1, 1)).times(p.drift(0.2, 17).scaled(1, 1))
	cents := p.wander(4, 0.45).plus(p.drift(1.8, 15)).centred(amp).plus(p.glide(-160, 0.16))
	p.sing(p.mid, w, p.rootHz, cents, amp, p.noise.unit())
	setRMS(p.mid, 0.3)
	p.hush(p.mid, p.lean(0.04, 0.09), amp, bandpass(p.rateHz, p.rootHz, 10))
	p.hush(p.mid, p.lean(0.02, 0.07), steam, highpass(p.rateHz, 2600, 0.6), lowpass(p.rateHz, 11000, 0.6))
	lid := p.curve(func(t float64) float64 { return math.Pow(0.5+0.5*math.Sin(2*math.Pi*9.3*t), 6) })
	p.hush(p.mid, p.lean(0.015, 0.05), lid.times(steam), bandpass(p.rateHz, 1900, 4)) // the lid rattles
}

// foghorn: a piston that air drives; pressure builds up slowly, the tone opens with it, and at the end it falls into
// a grunt.
func foghorn(p *player) {
	const gruntSec = 0.4
	horn := func(knee float64) func(h, hz float64) float64 {
		return func(h, hz float64) float64 {
			return math.Pow(h, -0.5) * (0.3 + peak(hz, 260, 2) + 0.7*peak(hz, 620, 3)) * rolloff(hz, knee, 13) *
				smallness(hz, 70)
		}
	}
	phases := p.phases()
	dull := p.wave(p.harmonics(p.rootHz, horn(260)), phases)
	open := p.wave(p.harmonics(p.rootHz, horn(p.lean(500, 1500))), phases)
	amp := p.envelope(0.5, 0.3).times(p.drift(0.08, 1.1).scaled(1, 1))
	opened := p.curve(func(t float64) float64 { return 1 - math.Exp(-t/0.5) }).times(
		p.drift(0.15, 0.8).scaled(1, 0.85))
	end := float64(p.frames) / p.rateHz
	grunt := p.curve(func(t float64) float64 {
		x := max(0, t-end+gruntSec) / gruntSec
		return -260 * x * x
	})
	cents := p.wander(5, 0.3).plus(p.drift(0.8, 4)).centred(amp).plus(p.glide(-60, 0.18)).plus(grunt)
	phase := p.noise.unit()
	p.sing(p.mid, dull, p.rootHz, cents, amp.times(opened.scaled(-1, 1)), phase)
	p.sing(p.mid, open, p.rootHz, cents, amp.times(opened), phase)
	setRMS(p.mid, 0.3)
	p.hush(p.mid, 0.02, amp, bandpass(p.rateHz, 900, 0.5)) // air past the piston
}
