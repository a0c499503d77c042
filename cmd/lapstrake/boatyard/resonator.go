// Modal resonators: what a plank, a bell, a wire or a pane does when it is struck or rubbed.

package boatyard

import (
	"math"
	"slices"
)

// mode is one way a body rings: after a blow of 1 it sounds at hz with amplitude gain and falls by 60 dB in
// decaySec.
type mode struct{ hz, gain, decaySec float64 }

// material gives the decay of a mode: refDecaySec at refHz, shorter above as (refHz/hz)^power, within limits.
type material struct{ refDecaySec, refHz, power, shortestSec, longestSec float64 }

// Decays of the order measured on such bodies (common practice; from memory).
var (
	larch     = material{1.2, 220, 0.55, 0.09, 2}
	oak       = material{0.7, 220, 0.60, 0.06, 1.5}
	bronze    = material{5.5, 300, 0.65, 0.35, 8}
	aluminium = material{3.2, 350, 0.60, 0.25, 6}
	steel     = material{4.0, 250, 0.55, 0.25, 6}
	glass     = material{2.2, 600, 0.50, 0.25, 3.5}
	enamel    = material{1.6, 500, 0.55, 0.15, 2.5}
)

func (m material) decaySec(hz float64) float64 {
	return min(max(m.refDecaySec*math.Pow(m.refHz/hz, m.power), m.shortestSec), m.longestSec)
}

// body is a family of modes: ratios to the root's mode and their gains when struck.
type body struct {
	ratios, gains []float64
	stuff         material
}

// maxModes bounds the work of one blow.
const maxModes = 18

// modes tunes the body to hz. Beyond its table the ratios go on with their last second difference (bars and
// rims grow about as n²) up to 5 kHz, so that a low root is heard by its upper modes. Each blow falls on another
// spot: gains vary by ±2 dB. Small bodies radiate low frequencies badly.
func (p *player) modes(b body, hz float64) []mode {
	const reachHz, fade = 5000, 0.84
	ratios, gains := slices.Clone(b.ratios), slices.Clone(b.gains)
	for n := len(ratios); n < maxModes && n >= 3; n++ {
		step := ratios[n-1] - ratios[n-2]
		growth := max(step-(ratios[n-2]-ratios[n-3]), 0.02*step)
		next := ratios[n-1] + step + growth
		if next*hz > reachHz {
			break
		}
		ratios, gains = append(ratios, next), append(gains, gains[n-1]*fade)
	}
	var modes []mode
	for i, ratio := range ratios {
		f := ratio * hz
		if f < 20 || f > topShare*p.rateHz {
			continue
		}
		radiation := 1 / math.Hypot(1, 140/f)
		modes = append(modes, mode{f, gains[i] * radiation * p.noise.decibels(2), b.stuff.decaySec(f)})
	}
	return modes
}

// driven rescales the modes so that white noise of RMS 1 makes each sound with its gain as RMS.
func (p *player) driven(modes []mode) []mode {
	scaled := slices.Clone(modes)
	for i, m := range scaled {
		r := poleRadius(m.decaySec, p.rateHz)
		scaled[i].gain = m.gain * math.Sqrt(2*(1-r*r)) // the energy of g·rⁿ·sin is about g²/(2(1−r²))
	}
	return scaled
}

// ring adds to out what the modes do under the force, which may end before out does; they ring on until 80 dB
// down. Four modes at a time, so that their recursions overlap in the processor.
func (p *player) ring(out []float64, modes []mode, force []float64) {
	modes = slices.Clone(modes)
	slices.SortFunc(modes, func(a, b mode) int { // alike decays together
		switch {
		case a.decaySec > b.decaySec:
			return -1
		case a.decaySec < b.decaySec:
			return 1
		}
		return 0
	})
	force = force[:min(len(force), len(out))]
	for len(modes) > 0 {
		var four [4]resonator
		for i := range four[:min(4, len(modes))] {
			four[i] = newResonator(modes[i], p.rateHz)
		}
		end := min(len(out), len(force)+int(modes[0].decaySec*p.rateHz*80/60))
		ringFour(out[:end], force, &four)
		modes = modes[min(4, len(modes)):]
	}
}

// resonator is y[n] = push·x[n] + turn·y[n−1] − loss·y[n−2]: a pole pair at the mode's frequency and decay.
type resonator struct{ push, turn, loss, y1, y2 float64 }

func newResonator(m mode, rateHz float64) resonator {
	r, w := poleRadius(m.decaySec, rateHz), 2*math.Pi*m.hz/rateHz
	sin, cos := math.Sincos(w)
	return resonator{push: m.gain * sin, turn: 2 * r * cos, loss: r * r}
}

func poleRadius(decaySec, rateHz float64) float64 {
	return math.Exp(-3 * math.Ln10 / (decaySec * rateHz))
}

func ringFour(out, force []float64, four *[4]resonator) {
	a, b, c, d := four[0], four[1], four[2], four[3]
	for i, x := range force {
		a.y1, a.y2 = a.push*x+a.turn*a.y1-a.loss*a.y2, a.y1
		b.y1, b.y2 = b.push*x+b.turn*b.y1-b.loss*b.y2, b.y1
		c.y1, c.y2 = c.push*x+c.turn*c.y1-c.loss*c.y2, c.y1
		d.y1, d.y2 = d.push*x+d.turn*d.y1-d.loss*d.y2, d.y1
		out[i] += (a.y1 + b.y1) + (c.y1 + d.y1)
	}
	for i := len(force); i < len(out); i++ {
		a.y1, a.y2 = a.turn*a.y1-a.loss*a.y2, a.y1
		b.y1, b.y2 = b.turn*b.y1-b.loss*b.y2, b.y1
		c.y1, c.y2 = c.turn*c.y1-c.loss*c.y2, c.y1
		d.y1, d.y2 = d.turn*d.y1-d.loss*d.y2, d.y1
		out[i] += (a.y1 + b.y1) + (c.y1 + d.y1)
	}
}
