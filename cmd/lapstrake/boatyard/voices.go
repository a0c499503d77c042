// Voices: a few neighbours humming, and the slipway crew at the ropes.

package boatyard

// formant is one resonance of the vocal tract.
type formant struct{ hz, widthHz, levelDB float64 }

// Formants of men's vowels as measured by Peterson & Barney 1952; widths and levels are of the usual order, and of a
// hum, with closed lips, the nose's (from memory).
var (
	humming = []formant{{270, 70, 0}, {1000, 120, -24}, {2150, 180, -30}, {2900, 220, -36}}
	ooh     = []formant{{300, 70, 0}, {870, 90, -7}, {2240, 150, -26}, {3000, 200, -30}}
	ee      = []formant{{270, 60, 0}, {2290, 110, -8}, {3010, 140, -9}, {3600, 200, -18}}
	awe     = []formant{{570, 80, 0}, {840, 90, -2}, {2410, 150, -14}, {3000, 180, -14}}
	aah     = []formant{{730, 90, 0}, {1090, 100, -2}, {2440, 140, -9}, {2900, 160, -7}}
	eh      = []formant{{530, 80, 0}, {1840, 110, -4}, {2480, 140, -6}, {3200, 180, -9}}
)

func voices() []Maker {
	return []Maker{
		{Contributor: "Three at the net loft", Title: "Humming over the mending", Kind: Held, Soft: true,
			lowKey: 24, highKey: 90, play: func(p *player) { choir(p, humming, ooh, ee) },
			tape: recording{room: room{8, 0.7, 4500, -7}, peakDB: -11, hissDB: -63, leadSec: 0.18}},
		{Contributor: "Slipway crew, Mudlark Row", Title: "Hauling chorus, one long vowel", Kind: Held, Loud: true,
			lowKey: 24, highKey: 90, play: func(p *player) { choir(p, ooh, aah, eh, awe, eh) },
			tape: recording{room: room{20, 1.3, 5000, -8}, peakDB: -5, hissDB: -60, leadSec: 0.1}},
	}
}

// choir: singers side by side, each with a tract of their own size, breaths of their own and a mouth that opens from
// the first vowel to one of the others as the breath swells. The vibrato comes late, and shakes the voice as much as
// the pitch.
func choir(p *player, closed []formant, open ...[]formant) {
	singers := len(open) + 1
	for k := range singers {
		size := p.noise.between(0.94, 1.12)
		breath := p.swells(p.lean(5.5, 3.6), 0.55)
		shake := p.vibrato(p.lean(1, 1.8), p.noise.between(4.8, 6.1), 3)
		amp := p.envelope(0.3, 0.45).times(breath.inDB(5)).times(shake.scaled(0.06, 1))
		cents := p.wander(3, 0.36).plus(shake).centred(amp).plus(p.glide(p.noise.between(-30, 8), 0.12))
		voice := p.buffer()
		p.morph(voice, p.rootHz, p.tract(closed, size), p.tract(open[k%len(open)], size), cents, amp, p.arc(breath))
		setRMS(voice, 0.1*p.noise.decibels(2))
		p.hush(voice, p.lean(0.0025, 0.004), amp, bandpass(p.rateHz, 3600, 0.6)) // breath
		p.spread(voice, -0.8+1.6*float64(k)/float64(singers-1))
	}
}

// tract is the spectrum of a sung vowel: the glottis with the lips' radiation falls by 6 dB an octave (more above the
// knee when sung softly), times the formants in parallel. Above its first formant a voice tunes that to its pitch.
func (p *player) tract(formants []formant, size float64) spectrum {
	kneeHz := p.lean(900, 3600)
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
