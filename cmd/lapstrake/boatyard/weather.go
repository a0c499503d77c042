// Weather and birds: gulls, rain on a tarpaulin, the tide through the sluice. None has a usable pitch; each is
// coloured by the root.

package boatyard

import "math"

func weather() []Maker {
	return []Maker{
		{Contributor: "Saltern school, class three", Title: "Gulls far off", Kind: Noisy, Soft: true,
			lowKey: 24, highKey: 114, play: gulls,
			tape: recording{room: room{80, 1.8, 2500, -1}, peakDB: -18, hissDB: -60, leadSec: 0, lowCutHz: 90}},
		{Contributor: "Widow Ferrier", Title: "Rain on the tarpaulin", Kind: Noisy, Soft: true,
			lowKey: 24, highKey: 114, play: rain,
			tape: recording{room: room{3, 0.2, 4000, -15}, peakDB: -10, hissDB: -62, leadSec: 0}},
		{Contributor: "Old Strake", Title: "Spring tide through the sluice", Kind: Noisy, Loud: true,
			lowKey: 24, highKey: 114, play: sluice,
			tape: recording{room: room{15, 0.9, 4000, -5}, peakDB: -7, hissDB: -58, leadSec: 0, lopsidedDB: -1.5}},
	}
}

// gulls: birds here and there, each call a falling cry broken up by a rough throat, over a distant surf.
func gulls(p *player) {
	end := float64(p.frames) / p.rateHz
	for range 3 {
		type call struct{ atSec, lengthSec, fallCents, level float64 }
		var calls []call
		for t := p.noise.between(0, 2.5); t < end; t += p.noise.between(0.3, 0.5) {
			calls = append(calls, call{t, p.noise.between(0.25, 0.45), p.noise.between(200, 520),
				p.noise.between(0.4, 1)})
			if p.noise.unit() < 0.25 {
				t += p.noise.between(1.5, 4)
			}
		}
		at := func(t float64) (call, float64) { // the call sounding at t, and how far on it is from 0 to 1
			for _, c := range calls {
				if x := (t - c.atSec) / c.lengthSec; x >= 0 && x < 1 {
					return c, x
				}
			}
			return call{}, 0
		}
		cents := p.curve(func(t float64) float64 {
			c, x := at(t)
			return c.fallCents * (math.Sin(math.Pi*min(1, 1.6*x)) - x)
		}).plus(p.drift(60, 40))
		throat := p.noise.between(55, 80)
		amp := p.curve(func(t float64) float64 {
			c, x := at(t)
			return c.level * math.Pow(math.Sin(math.Pi*x), 0.7) * (0.65 + 0.35*math.Sin(2*math.Pi*throat*t))
		}).times(p.drift(0.4, 60).scaled(1, 1))
		cry := func(h, hz float64) float64 { return rolloff(hz, 1500, 12) * (0.3 + peak(hz, 1900, 2)) }
		hz := p.folded(820) * p.noise.between(0.97, 1.03)
		voice := p.buffer()
		p.sing(voice, p.wave(p.harmonics(hz, cry), p.phases()), hz, cents, amp, 0)
		p.hush(voice, 0.15, amp, bandpass(p.rateHz, 2*hz, 3))
		p.spread(voice, p.noise.between(-0.8, 0.8))
	}
	surf := p.drift(0.5, 0.3).scaled(1, 1)
	p.hush(p.mid, 0.05, surf, lowpass(p.rateHz, 900, 0.5))
	p.hush(p.mid, 0.02, surf, bandpass(p.rateHz, p.folded(400), 3))
}

// rain: drops at random on stretched canvas, each a dull tap with hardly a tone (a membrane's modes), and finer
// drops beyond counting. Squalls drive it against the canvas and let go of it again.
func rain(p *player) {
	canvas := body{[]float64{1, 1.594, 2.136, 2.296, 2.653, 2.918}, []float64{1, 0.7, 0.6, 0.4, 0.4, 0.3},
		material{0.06, 400, 0.4, 0.02, 0.1}}
	drops := p.buffer()
	squall := p.swells(7, 0.35)
	end, perSec := float64(p.frames)/p.rateHz, p.lean(120, 300)
	for t := 0.0; t < end; t -= math.Log(1-p.noise.unit()) / perSec {
		if at := p.frameAt(t); at < p.frames {
			drops[at] += (0.15 + squall[at/hop]) * p.noise.unit() * (2*p.noise.unit() - 1)
		}
	}
	p.ring(p.mid, p.modes(canvas, p.folded(260)), drops)
	setRMS(p.mid, 0.035)
	for _, place := range []float64{-0.9, 0.9} {
		fine := p.buffer()
		p.hush(fine, 0.07, squall.inDB(14).times(p.drift(0.35, 0.8).scaled(1, 1)), highpass(p.rateHz, 1800, 0.5),
			lowpass(p.rateHz, 8500, 0.6))
		p.spread(fine, place)
	}
}

// sluice: water through a gate: roaring bands that come and go with the swell, and air coming up in bubbles, each
// ringing for a moment at the pitch of its size (Minnaert 1933).
func sluice(p *player) {
	centre := p.folded(300)
	surge := p.swells(8, 0.4)
	for _, place := range []float64{-0.8, 0.8} {
		side := p.buffer()
		for i, ratio := range []float64{1, 2.7, 9} {
			p.hush(side, 0.12/float64(i+1), surge.inDB(float64(3+5*i)).times(p.drift(0.5, 1.1).scaled(1, 1)),
				bandpass(p.rateHz, ratio*centre, 1.8))
		}
		p.spread(side, place)
	}
	end := float64(p.frames) / p.rateHz
	for t := 0.0; t < end; t -= math.Log(1-p.noise.unit()) / 22 {
		hz := min(500*math.Exp2(2.2*p.noise.unit()), topShare*p.rateHz)
		bubble := []mode{{hz, 0.3 * p.noise.unit(), 25 / hz}}
		p.ring(p.mid[p.frameAt(t):], bubble, []float64{1})
	}
	p.hush(p.mid, p.lean(0.02, 0.06), surge.inDB(12), highpass(p.rateHz, 2500, 0.5), lowpass(p.rateHz, 9000, 0.6))
}
