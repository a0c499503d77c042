// Reeds: a concertina, the chapel's harmonium, a pipe cut from the marsh.

package boatyard

import "math"

func reeds() []Maker {
	return []Maker{
		{Contributor: "Marn Sallow", Title: "Concertina, one button", Kind: Held, Soft: true, Loud: true,
			lowKey: 24, highKey: 114, play: concertina,
			tape: recording{room: room{5, 0.5, 5000, -8}, peakDB: -6, hissDB: -64, leadSec: 0.1}},
		{Contributor: "Sister Halcyon, mission chapel", Title: "Harmonium with a slow bellows", Kind: Held,
			Soft: true, Loud: true, lowKey: 24, highKey: 114, play: harmonium,
			tape: recording{room: room{19, 1.9, 4200, -2}, peakDB: -10, hissDB: -57, humDB: -58,
				leadSec: 0.25, topHz: 10000}},
		{Contributor: "Ebb Farrowmere", Title: "Pipe cut from a marsh reed", Kind: Held, Soft: true,
			lowKey: 24, highKey: 114, play: reedPipe,
			tape: recording{room: room{40, 0.9, 2400, -15}, peakDB: -8, hissDB: -58, leadSec: 0.14, mono: true}},
	}
}

// reedSpectrum: a free reed chops the air into pulses; the chamber adds its resonance.
func reedSpectrum(kneeHz, chamberHz float64) func(h, hz float64) float64 {
	return func(h, hz float64) float64 {
		return math.Pow(h, -0.7) * rolloff(hz, kneeHz, 10) * (0.5 + peak(hz, chamberHz, 2)) * smallness(hz, 90)
	}
}

// concertina: two reeds a button, one a little low, one as much high, at either end of the instrument. The button
// clacks, the reeds speak a moment late and a touch flat.
func concertina(p *player) {
	const apartCents = 2.1
	bellows := p.envelope(0.09, 0.25).times(p.drift(0.3, 0.5).scaled(1, 1))
	for _, sign := range []float64{-1, 1} {
		w := p.wave(p.harmonics(p.rootHz, reedSpectrum(p.lean(750, 2300), p.noise.between(1400, 2000))), p.phases())
		cents := p.wander(3.4, 0.3).centred(bellows).scaled(1, sign*apartCents).plus(p.glide(-9, 0.08))
		voice := p.buffer()
		p.sing(voice, w, p.rootHz, cents, bellows, p.noise.unit())
		p.spread(voice, sign*0.6)
	}
	setRMS(p.mid, 0.2)
	setRMS(p.side, 0.11)
	p.hush(p.mid, p.lean(0.003, 0.010), bellows, bandpass(p.rateHz, 1800, 0.5))
	p.knock(0, 1300, 1.2, 0.05, 0.12)
}

// harmonium: an eight-foot reed and a fainter four-foot one; the pedals pump, the wind sags and recovers.
func harmonium(p *player) {
	pump := p.noise.between(0.6, 0.85)
	wind := p.envelope(0.28, 0.4).times(p.curve(func(t float64) float64 {
		return 1 + 0.12*math.Sin(2*math.Pi*pump*t) + 0.05*math.Sin(4*math.Pi*pump*t+1)
	}))
	cents := p.wander(4.6, 0.27).plus(p.vibrato(1.1, pump, 0.1)).centred(wind).plus(p.glide(-7, 0.15))
	knee := p.lean(620, 1700)
	eight := p.wave(p.harmonics(p.rootHz, reedSpectrum(knee, 900)), p.phases())
	four := p.wave(p.harmonics(2*p.rootHz, reedSpectrum(knee, 1500)), p.phases())
	p.sing(p.mid, eight, p.rootHz, cents, wind, p.noise.unit())
	p.sing(p.mid, four, 2*p.rootHz, p.wander(5, 0.3).centred(wind), wind.scaled(0.35, 0), p.noise.unit())
	setRMS(p.mid, 0.2)
	p.hush(p.mid, p.lean(0.005, 0.014), wind, bandpass(p.rateHz, 900, 0.4)) // leather that leaks
}

// reedPipe: a cylindrical pipe closed at the reed, so the odd harmonics lead; thin, nasal and full of breath.
func reedPipe(p *player) {
	gain := func(h, hz float64) float64 {
		even := 1.0
		if math.Mod(h, 2) == 0 {
			even = 0.3
		}
		return even * math.Pow(h, -0.75) * rolloff(hz, p.lean(800, 1800), 11) * (0.4 + peak(hz, 1150, 2.5)) *
			smallness(hz, 100)
	}
	w := p.wave(p.harmonics(p.rootHz, gain), p.phases())
	breath := p.envelope(0.11, 0.2).times(p.drift(0.22, 1.1).scaled(1, 1)).times(p.drift(0.14, 13).scaled(1, 1))
	cents := p.wander(4.8, 0.4).plus(p.drift(1, 6)).centred(breath).plus(p.glide(35, 0.05))
	p.sing(p.mid, w, p.rootHz, cents, breath, p.noise.unit())
	setRMS(p.mid, 0.25)
	p.hush(p.mid, p.lean(0.04, 0.09), breath, bandpass(p.rateHz, 1800, 0.5))
	p.hush(p.mid, p.lean(0.02, 0.05), breath, highpass(p.rateHz, 3500, 0.7), lowpass(p.rateHz, 9000, 0.7))
	p.knock(0, 2100, 1, 0.05, 0.2)
}
