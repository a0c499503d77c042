// Breath: a bottle, a kettle, the foghorn.

package boatyard

import "math"

func breaths() []Maker {
	return []Maker{
		{Contributor: "Wick Samphire", Title: "Cider bottle, blown across", Kind: Held, Soft: true,
			lowKey: 24, highKey: 114, play: bottle,
			tape: recording{room: room{4, 0.3, 5000, -12}, peakDB: -11, hissDB: -62, leadSec: 0.16, mono: true}},
		{Contributor: "Harriet Slake, harbour office", Title: "Kettle on the harbour stove", Kind: Held, Loud: true,
			lowKey: 60, highKey: 114, play: kettle,
			tape: recording{room: room{4, 0.5, 6500, -10}, peakDB: -6, hissDB: -60, leadSec: 0.12, lopsidedDB: -1}},
		{Contributor: "Cuthbert Ness, keeper", Title: "Foghorn from the inner light", Kind: Held, Loud: true,
			lowKey: 24, highKey: 72, play: foghorn,
			tape: recording{room: room{60, 2.2, 2200, -8}, peakDB: -4, hissDB: -55, leadSec: 0.2, topHz: 9000}},
	}
}

// bottle: a jet of breath across the neck of a Helmholtz resonator. The tone has hardly any harmonics; the same
// resonance colours the breath's noise, and the rest of the noise passes by. The jet drifts across the lip: now the
// tone is round, now nearly all is air.
func bottle(p *player) {
	round := func(h, hz float64) float64 { return math.Pow(h, -2.4) * smallness(hz, 90) }
	edged := func(h, hz float64) float64 { return math.Pow(h, -1.2) * rolloff(hz, 900, 9) * smallness(hz, 90) }
	jet := p.swells(4.2, 0.45)
	breath := p.envelope(0.14, 0.35).times(jet.inDB(5))
	amp := breath.times(p.drift(0.15, 9).scaled(1, 0.9))
	cents := p.wander(4.9, 0.35).plus(p.drift(1, 5)).centred(amp).plus(p.glide(-22, 0.09))
	p.morph(p.mid, p.rootHz, edged, round, cents, amp, p.arc(jet))
	setRMS(p.mid, 0.3)
	air := p.lean(0.05, 0.12)
	away := jet.less().inDB(16).times(p.envelope(0.1, 0.3)) // the air that misses the lip
	p.hush(p.mid, air/2, breath, bandpass(p.rateHz, p.rootHz, 14))
	p.hush(p.mid, air, away, bandpass(p.rateHz, min(max(p.rootHz*3, 1100), 4000), 0.8))
	p.hush(p.mid, 0.7*air, away, highpass(p.rateHz, 3800, 0.7), lowpass(p.rateHz, 9000, 0.7))
	p.knock(0, min(max(p.rootHz*2.7, 500), 5000), 1.5, 0.12, 0.2) // the chiff before the tone speaks
}

// kettle: the whistle's edge tone creeps up to its pitch as the steam gathers; it hoots, then shrieks, and the steam
// spits. Drops dance on the plate in bursts, and the lid rattles with them.
func kettle(p *player) {
	hoot := func(h, hz float64) float64 { return math.Pow(h, -1.8) * rolloff(hz, 900, 9) * smallness(hz, 90) }
	shriek := func(h, hz float64) float64 {
		return math.Pow(h, -0.7) * (0.3 + peak(hz, 3200, 3)) * rolloff(hz, 5200, 12) * smallness(hz, 90)
	}
	boil := p.swells(3.8, 0.6)
	steam := p.envelope(0.2, 0.5).times(boil.inDB(10))
	amp := p.envelope(0.3, 0.4).times(boil.inDB(5)).times(p.drift(0.2, 17).scaled(1, 1))
	cents := p.wander(4, 0.45).plus(p.drift(1.8, 15)).centred(amp).plus(p.glide(-160, 0.16))
	p.morph(p.mid, p.rootHz, hoot, shriek, cents, amp, p.arc(boil))
	setRMS(p.mid, 0.3)
	p.hush(p.mid, p.lean(0.03, 0.07), amp, bandpass(p.rateHz, p.rootHz, 10))
	for _, place := range []float64{-0.7, 0.7} {
		spit := p.buffer()
		p.hush(spit, p.lean(0.02, 0.05), steam.times(p.drift(0.5, 5).scaled(1, 1)), highpass(p.rateHz, 3600, 0.6),
			lowpass(p.rateHz, 11000, 0.6))
		p.spread(spit, place)
	}
	lid := p.curve(func(t float64) float64 { return math.Pow(0.5+0.5*math.Sin(2*math.Pi*9.3*t), 6) })
	p.hush(p.mid, p.lean(0.02, 0.06), lid.times(boil), bandpass(p.rateHz, 1900, 4))
}

// foghorn: a piston that air drives; pressure builds up slowly, the tone opens with it and sags, and at the end it
// falls into a grunt.
func foghorn(p *player) {
	const gruntSec = 0.4
	horn := func(kneeHz, bellDB float64) spectrum {
		return func(h, hz float64) float64 {
			bell := 0.3 + peak(hz, 260, 2) + 0.7*peak(hz, 620, 3) + dB(bellDB)*peak(hz, 1500, 2)
			return math.Pow(h, -0.5) * bell * rolloff(hz, kneeHz, 13) * smallness(hz, 70)
		}
	}
	pressure := p.swells(5.5, 0.5)
	opened := p.curve(func(t float64) float64 { return 1 - math.Exp(-t/0.5) }).times(pressure)
	amp := p.envelope(0.35, 0.3).times(pressure.inDB(4)).times(p.drift(0.08, 9).scaled(1, 1))
	end := float64(p.frames) / p.rateHz
	grunt := p.curve(func(t float64) float64 {
		x := max(0, t-end+gruntSec) / gruntSec
		return -260 * x * x
	})
	cents := p.wander(5, 0.3).plus(p.drift(0.8, 4)).centred(amp).plus(p.glide(-60, 0.18)).plus(grunt)
	p.morph(p.mid, p.rootHz, horn(240, -20), horn(p.lean(700, 2600), 0), cents, amp, p.arc(opened))
	setRMS(p.mid, 0.3)
	p.hush(p.mid, 0.012, amp, bandpass(p.rateHz, 900, 0.5)) // air past the piston
}
