// Reeds: a concertina, the chapel's harmonium, a pipe cut from the marsh.

package boatyard

import "math"

func reeds() []Maker {
	return []Maker{
		{Contributor: "Marn Sallow", Title: "Concertina, one button", Kind: Held, Soft: true, Loud: true,
			lowKey: 24, highKey: 114, play: concertina,
			tape: recording{room: room{5, 0.5, 5000, -11}, peakDB: -8, hissDB: -64, leadSec: 0.1}},
		{Contributor: "Sister Halcyon, mission chapel", Title: "Harmonium with a slow bellows", Kind: Held,
			Soft: true, Loud: true,
			lowKey: 24, highKey: 114, play: harmonium,
			tape: recording{room: room{19, 1.9, 4200, -5}, peakDB: -10, hissDB: -57, humDB: -58, leadSec: 0.25,
				topHz: 10000}},
		{Contributor: "Ebb Farrowmere", Title: "Pipe cut from a marsh reed", Kind: Held, Soft: true,
			lowKey: 24, highKey: 114, play: reedPipe,
			tape: recording{room: room{40, 0.9, 2400, -15}, peakDB: -10, hissDB: -58, leadSec: 0.14, mono: true}},
	}
}

// reedSpectrum: a free reed chops the air into pulses; the chamber adds its resonance.
func reedSpectrum(steep, kneeHz, chamberHz float64) spectrum {
	return func(h, hz float64) float64 {
		return math.Pow(h, -steep) * rolloff(hz, kneeHz, 10) * (0.3 + peak(hz, chamberHz, 2)) * smallness(hz, 90)
	}
}

// concertina: two reeds a button, one a little low, one as much high, at either end of the instrument. Arms push and
// pull: with each the reeds open from dull to bright. The button clacks, the reeds speak a moment late and a touch
// flat.
func concertina(p *player) {
	const apartCents = 2.1
	arms := p.swells(p.lean(4.6, 2.8), 0.4)
	bellows := p.envelope(0.07, 0.25).times(arms.inDB(5))
	for _, sign := range []float64{-1, 1} {
		chamberHz := p.noise.between(1300, 1600) * (1 + 0.5*sign*p.force)
		cents := p.wander(3.4, 0.3).centred(bellows).scaled(1, sign*apartCents).plus(p.glide(-9, 0.08))
		voice := p.buffer()
		p.morph(voice, p.rootHz, reedSpectrum(1, p.lean(450, 800), 500),
			reedSpectrum(p.lean(0.8, 0.45), p.lean(1000, 4300), 1.4*chamberHz), cents, bellows, p.arc(arms))
		p.spread(voice, sign*0.7)
	}
	setRMS(p.mid, 0.2)
	setRMS(p.side, 0.13)
	p.hush(p.mid, p.lean(0.002, 0.008), bellows, bandpass(p.rateHz, 1800, 0.5))
	p.knock(0, 1300, 1.2, 0.05, p.lean(0.05, 0.3))
}

// harmonium: an eight-foot reed, and a four-foot and a two-foot one whose shutters a knee opens, slowly, and lets
// fall; the pedals pump, the wind sags and recovers.
func harmonium(p *player) {
	pump := p.noise.between(0.6, 0.85)
	wind := p.envelope(0.28, 0.4).times(p.curve(func(t float64) float64 {
		return 1 + 0.12*math.Sin(2*math.Pi*pump*t) + 0.05*math.Sin(4*math.Pi*pump*t+1)
	}))
	cents := p.wander(4.6, 0.27).plus(p.vibrato(1.1, pump, 0.1)).centred(wind).plus(p.glide(-7, 0.15))
	knee := p.swells(p.lean(9, 8), 0.6)
	dullHz := p.lean(320, 1100)
	p.morph(p.mid, p.rootHz, reedSpectrum(1.1, dullHz, 420), reedSpectrum(0.7, 3*dullHz, 900), cents, wind, knee)
	for _, stop := range []struct{ feet, level, place float64 }{{2, 0.5, -0.6}, {4, 0.3, 0.6}} {
		reed := p.buffer()
		p.morph(reed, stop.feet*p.rootHz, reedSpectrum(0.9, 2*dullHz, 1500), reedSpectrum(0.5, 5*dullHz, 2600),
			p.wander(4, 0.3).centred(wind), knee.times(wind).scaled(stop.level, 0), knee)
		p.spread(reed, stop.place)
	}
	setRMS(p.mid, 0.2)
	p.hush(p.mid, p.lean(0.006, 0.012), wind, bandpass(p.rateHz, 900, 0.4)) // leather that leaks
}

// reedPipe: a cylindrical pipe closed at the reed, so the odd harmonics lead. Each breath begins hollow and is pressed
// until the pipe turns nasal and the even ones come in; between breaths the player's own air is heard.
func reedPipe(p *player) {
	pipe := func(evens, steep, kneeHz, noseHz float64) spectrum {
		return func(h, hz float64) float64 {
			even := 1.0
			if math.Mod(h, 2) == 0 {
				even = evens
			}
			return even * math.Pow(h, -steep) * rolloff(hz, kneeHz, 11) * (0.25 + peak(hz, noseHz,
				3)) * smallness(hz, 100)
		}
	}
	press := p.swells(3.4, 0.4)
	breath := p.envelope(0.09, 0.2).times(press.inDB(6)).times(p.drift(0.12, 13).scaled(1, 1))
	shake := p.vibrato(1.6, p.noise.between(4.6, 5.4), 4)
	cents := p.wander(4, 0.4).plus(shake).centred(breath).plus(p.glide(35, 0.05))
	p.morph(p.mid, p.rootHz, pipe(0.1, 1.2, p.lean(700, 1500), 620), pipe(0.45, 0.5, p.lean(1600, 3600), 1350),
		cents, breath.times(shake.scaled(0.07, 1)), p.arc(press))
	setRMS(p.mid, 0.25)
	p.hush(p.mid, p.lean(0.02, 0.05), press.less().times(breath), bandpass(p.rateHz, 1800, 0.5))
	p.hush(p.mid, p.lean(0.016, 0.05), press.less().times(breath), highpass(p.rateHz, 3500, 0.7), lowpass(p.rateHz,
		9000, 0.7))
	p.knock(0, 2100, 1, 0.05, p.lean(0.1, 0.25))
}
