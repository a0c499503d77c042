// Metal that is struck: the bell buoy, a propeller blade, a halyard on the mast, an enamel mug.

package boatyard

import "math"

// Ratios of the first modes, to the heard strike tone. Bell: Fletcher & Rossing, The Physics of Musical Instruments,
// the table of a church bell's partials (hum, prime, tierce, quint, nominal, …). Aluminium bar and small handbell-like
// mug: the Csound manual, appendix "Modal Frequency Ratios". The propeller's are of our choosing, like a thick plate.
var (
	bellBody = body{
		[]float64{1, 0.5, 1.183, 1.506, 2, 2.514, 2.662, 3.011, 4.166, 5.433, 6.796, 8.215},
		[]float64{1, 0.4, 0.5, 0.25, 0.8, 0.3, 0.25, 0.35, 0.3, 0.2, 0.14, 0.1}, bronze}
	bladeBody = body{
		[]float64{1, 1.47, 2.09, 2.56, 3.44, 4.31, 5.62, 7.1},
		[]float64{1, 0.3, 0.5, 0.35, 0.4, 0.3, 0.22, 0.18}, bronze}
	mastBody = body{
		[]float64{1, 2.756, 5.423, 8.988, 13.448, 18.68},
		[]float64{1, 0.6, 0.5, 0.36, 0.24, 0.15}, aluminium}
	mugBody = body{
		[]float64{1, 1.79, 2.52, 2.99, 3.79, 4.57, 5.6},
		[]float64{1, 0.35, 0.5, 0.3, 0.3, 0.2, 0.15}, enamel}
)

func bells() []Maker {
	return []Maker{
		{Contributor: "Ister Vane, buoy tender", Title: "Bell buoy at slack water", Kind: Struck,
			Soft: true, Loud: true,
			lowKey: 24, highKey: 114, tailSec: 2.8, play: bell,
			tape: recording{room: room{30, 1.6, 3500, -11}, peakDB: -8, hissDB: -58, leadSec: 0.15, lowCutHz: 40}},
		{Contributor: "Gannet Forge", Title: "Propeller blade, hung on a rope", Kind: Struck, Loud: true,
			lowKey: 24, highKey: 96, tailSec: 2.4, play: blade,
			tape: recording{room: room{16, 1.4, 5200, -9}, peakDB: -5, hissDB: -64, leadSec: 0.07}},
		{Contributor: "Rook Sallowfield, at his mooring", Title: "Halyard tapping its mast", Kind: Struck,
			Soft: true, Loud: true,
			lowKey: 24, highKey: 114, tailSec: 1.5, play: halyard,
			tape: recording{room: room{22, 0.5, 2600, -17}, peakDB: -14, hissDB: -57, leadSec: 0.24, lopsidedDB: -2}},
		{Contributor: "Ama Fennimere", Title: "Enamel mug and a spoon", Kind: Struck, Soft: true,
			lowKey: 48, highKey: 114, tailSec: 1.3, play: mug,
			tape: recording{room: room{4, 0.4, 6000, -8}, peakDB: -6, hissDB: -60, humDB: -63, leadSec: 0.06,
				mono: true}},
	}
}

// bell: the buoy rolls, so that the clapper comes now hard, now softly, and at times falls back once more. Casting
// is never round: each of the strong partials is two, a little apart to either side, and warbles.
func bell(p *player) {
	const splitRatio = 0.0004 // 0.7 cents to either side
	modes := p.modes(bellBody, p.rootHz)
	for i, m := range modes[:min(5, len(modes))] {
		half := m.gain / 2
		apart := 1 + splitRatio*p.noise.between(0.5, 1)
		modes[i] = mode{m.hz * apart, half, m.decaySec}
		modes = append(modes, mode{m.hz / apart, half, m.decaySec})
	}
	hit := blow{0, 1, p.lean(0.0045, 0.0004), p.lean(0.05, 0.5)}
	p.strike(p.mid, modes, hit)
	p.ease(p.lean(0.02, 0.0004))
	if p.noise.unit() < 0.5 {
		hit.atSec, hit.strength = p.noise.between(0.35, 0.7), p.noise.between(0.2, 0.5)
		p.strike(p.mid, modes, hit)
	}
	p.knock(0, 3100, 0.8, 0.03, p.lean(0.004, 0.12))
	p.roll(p.noise.between(0.4, 0.8))
}

// blade: a heavy felt beater on bronze, its upper modes fed late, as in a gong, by a second slower push.
func blade(p *player) {
	modes := p.modes(bladeBody, p.rootHz)
	p.strike(p.mid, modes, blow{0, 1, p.lean(0.0045, 0.0006), 0.3})
	p.knock(0, 1900, 0.9, 0.03, p.lean(0.01, 0.1))
	shimmer := p.space(p.frameAt(0.35))
	p.noise.white(shimmer)
	for i := range shimmer {
		x := float64(i) / float64(len(shimmer))
		shimmer[i] *= 0.05 * x * (1 - x)
	}
	p.ring(p.mid, p.upper(modes), shimmer)
}

// upper returns the modes above the root's own.
func (p *player) upper(modes []mode) []mode {
	var above []mode
	for _, m := range modes {
		if m.hz > 1.2*p.rootHz {
			above = append(above, m)
		}
	}
	return above
}

// halyard: wire rope slaps a hollow mast, then twice or three times more lightly as the mast swings back.
func halyard(p *player) {
	modes := p.modes(mastBody, p.rootHz)
	hit := blow{0, 1, p.lean(0.0026, 0.0003), 0.5}
	for taps := 1 + int(p.noise.between(0, 3)); taps > 0; taps-- {
		p.strike(p.mid, modes, hit)
		hit.atSec += p.noise.between(0.07, 0.16)
		hit.strength *= p.noise.between(0.25, 0.6)
	}
	p.ease(p.lean(0.03, 0.0003))
	p.knock(0, 4300, 0.9, 0.04, p.lean(0.008, 0.14)) // wire rope
	p.roll(p.noise.between(0.7, 1.3))
}

// roll turns the sound from one side to the other and back, once in everySec at first: what hangs swings.
func (p *player) roll(everySec float64) {
	if p.side == nil {
		p.side = p.buffer()
	}
	start := p.noise.unit()
	place := p.curve(func(t float64) float64 {
		return 0.6 * math.Sin(2*math.Pi*(t/everySec/(1+0.2*t)+start)) * math.Exp(-t/3)
	})
	place.addShaped(p.side, p.mid, 1)
}

func mug(p *player) {
	p.strike(p.mid, p.modes(mugBody, p.rootHz), blow{0, 1, p.lean(0.0012, 0.0004), 0.4})
	p.ease(p.lean(0.025, 0.0004))
	p.knock(0.004, 5600, 1.2, 0.03, 0.03)
}
