// Wood: the hull's planks, the caulking mallet, an oar.

package boatyard

import "math"

// Ratios of the first modes, as measured ones are tabled in the Csound manual, appendix "Modal Frequency Ratios": a
// bar hollowed beneath, as xylophones have them; a Douglas fir plate; and a wooden bar, whose ratios are below the
// ideal bar's 2.756 and 5.404 because wood shears easily.
var (
	plankBody = body{[]float64{1, 3.932, 9.538, 16.688, 24.566}, []float64{1, 0.4, 0.25, 0.16, 0.1}, larch}
	deckBody  = body{[]float64{1, 1.42, 2.11, 2.47, 3.3, 4.2}, []float64{1, 0.25, 0.34, 0.28, 0.22, 0.2}, oak}
	oarBody   = body{[]float64{1, 2.572, 4.644, 6.984, 9.723}, []float64{1, 0.5, 0.45, 0.3, 0.22}, oak}
)

func planks() []Maker {
	return []Maker{
		{Contributor: "Hob Marrable", Title: "Hull plank, padded mallet", Kind: Struck, Soft: true,
			lowKey: 24, highKey: 108, tailSec: 1.6, play: plank,
			tape: recording{room: room{9, 0.5, 4200, -10}, peakDB: -9, hissDB: -66, leadSec: 0.11}},
		{Contributor: "Tobit Oakum", Title: "Caulking mallet on the iron", Kind: Struck, Loud: true,
			lowKey: 36, highKey: 102, tailSec: 0.8, play: caulking,
			tape: recording{room: room{14, 0.45, 5000, -16}, peakDB: -3, hissDB: -62, leadSec: 0.05, lopsidedDB: 1.5}},
		{Contributor: "Lettice Bight", Title: "Oar on the thole pin", Kind: Struck, Soft: true,
			lowKey: 24, highKey: 102, tailSec: 1.3, play: oar,
			tape: recording{room: room{5, 0.25, 3000, -15}, peakDB: -12, hissDB: -64, leadSec: 0.2, topHz: 11000,
				mono: true}},
	}
}

func plank(p *player) {
	modes := p.modes(plankBody, p.rootHz)
	p.strike(p.mid, modes, blow{0, 1, p.lean(0.0060, 0.0008), p.lean(0.1, 0.5)})
	p.ease(p.lean(0.035, 0.0003))
	p.knock(0, min(p.rootHz*1.2, 380), 1.1, 0.12, 0.04) // the boards around it give a little
}

// caulking is a live-oak mallet on a caulking iron in a deck seam: a dry knock, and the iron's short ring.
func caulking(p *player) {
	iron := body{[]float64{2.83, 5.404, 8.933, 13.34}, []float64{0.20, 0.24, 0.16, 0.1}, material{0.5, 900, 0.4,
		0.1, 0.6}}
	modes := append(p.modes(deckBody, p.rootHz), p.modes(iron, p.rootHz)...)
	hit := blow{0, 1, p.lean(0.0025, 0.0004), 0.6}
	p.strike(p.mid, modes, hit)
	if p.noise.unit() < 0.4 { // the mallet bounces
		hit.atSec, hit.strength = p.noise.between(0.06, 0.11), 0.2
		p.strike(p.mid, modes, hit)
	}
	p.knock(0, 2600, 0.9, 0.03, p.lean(0.10, 0.4))
	p.knock(0, 5200, 1, 0.02, p.lean(0.04, 0.25))
}

// oar falls against its pin, and then creaks as the rower pulls: stick and slip, ever slower.
func oar(p *player) {
	modes := p.modes(oarBody, p.rootHz)
	p.strike(p.mid, modes, blow{0, 1, p.lean(0.0035, 0.001), 0.4})
	p.ease(p.lean(0.03, 0.0005))
	p.knock(0.004, 900, 0.8, 0.07, 0.08)
	creak := p.buffer()
	fromSec, creakSec := p.noise.between(0.12, 0.2), p.noise.between(0.35, 0.6)
	for t, gapSec := 0.0, 0.007; t < creakSec; t, gapSec = t+gapSec*p.noise.between(0.8, 1.2), gapSec*1.05 {
		slip := p.push(blow{strength: 0.012 * math.Sin(math.Pi*t/creakSec), contactSec: 0.0008, grit: 1})
		for i, v := range slip {
			if at := p.frameAt(fromSec+t) + i; at < len(creak) {
				creak[at] += v
			}
		}
	}
	p.ring(p.mid, p.upper(modes), creak)
}
