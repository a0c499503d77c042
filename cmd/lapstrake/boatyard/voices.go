// Voices: a few neighbours humming, and the slipway crew on an open vowel.

package boatyard

// formant is one resonance of the vocal tract.
type formant struct{ hz, widthHz, levelDB float64 }

// Formants of the order of those in Peterson & Barney 1952 for men (hum: lips closed, so the nose's; from memory).
var (
	humming = []formant{{270, 70, 0}, {1000, 120, -22}, {2150, 180, -26}, {2900, 220, -32}}
	ooh     = []formant{{310, 70, 0}, {870, 100, -9}, {2240, 150, -26}, {3000, 200, -30}}
	awe     = []formant{{570, 80, 0}, {840, 100, -3}, {2410, 150, -17}, {3100, 200, -20}}
	aah     = []formant{{730, 90, 0}, {1090, 110, -3}, {2440, 150, -13}, {3200, 200, -16}}
)

func voices() []Maker {
	return []Maker{
		{Contributor: "Three at the net loft", Title: "Humming over the mending", Kind: Held, Soft: true,
			lowKey: 24, highKey: 90, play: func(p *player) { choir(p, 3, humming, ooh) },
			tape: recording{room: room{8, 0.7, 4500, -5}, peakDB: -9, hissDB: -63, leadSec: 0.18}},
		{Contributor: "Slipway crew, Mudlark Row", Title: "Hauling chorus, one long vowel", Kind: Held, Loud: true,
			lowKey: 24, highKey: 90, play: func(p *player) { choir(p, 5, awe, aah) },
			tape: recording{room: room{20, 1.3, 4500, -4}, peakDB: -5, hissDB: -60, leadSec: 0.1}},
	}
}

// choir: singers side by side, each with a tract of their own size, a vibrato of their own and a vowel that moves
// between two.
func choir(p *player, singers int, closed, open []formant) {
	for k := range singers {
		size := p.noise.between(0.93, 1.13)
		phases := p.phases()
		shut := p.wave(p.harmonics(p.rootHz, p.tract(closed, size)), phases)
		wide := p.wave(p.harmonics(p.rootHz, p.tract(open, size)), phases)
		amp := p.envelope(0.35, 0.45).times(p.drift(0.2, 0.8).scaled(1, 1))
		cents := p.wander(4.2, 0.36).plus(p.vibrato(p.lean(1, 1.8), p.noise.between(4.8, 6.1), 1.2)).centred(amp)
		cents = cents.plus(p.glide(p.noise.between(-30, 8), 0.12))
		mouth := p.drift(0.5, 0.25).scaled(1, 0.5)
		voice, phase := p.buffer(), p.noise.unit()
		p.sing(voice, shut, p.rootHz, cents, amp.times(mouth.scaled(-1, 1)), phase)
		p.sing(voice, wide, p.rootHz, cents, amp.times(mouth), phase)
		setRMS(voice, 0.1*p.noise.decibels(2))
		p.hush(voice, p.lean(0.0008, 0.003), amp, bandpass(p.rateHz, 2600, 0.6)) // breath
		p.spread(voice, -0.7+1.4*float64(k)/float64(singers-1))
	}
}

// tract is the spectrum of a sung vowel: the glottis with the lips' radiation falls by 6 dB an octave (more above the
// knee when sung softly), times the formants in parallel. Above its first formant a voice tunes that to its pitch.
func (p *player) tract(formants []formant, size float64) func(h, hz float64) float64 {
	kneeHz := p.lean(600, 3000)
	return func(h, hz float64) float64 {
		sum := 0.01
		for i, f := range formants {
			centre := f.hz * size
			if i == 0 {
				centre = max(centre, p.rootHz)
			}
			sum += dB(f.levelDB) * peak(hz, centre, centre/f.widthHz)
		}
		return sum / h * rolloff(hz, kneeHz, 6) * smallness(hz, 80)
	}
}
