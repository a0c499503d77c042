// Gestures: what makes a sound that goes on one that somebody plays. Breaths, strokes of a bow, gusts.

package boatyard

import "math"

// swells is a row of gestures, each about everySec long, by up to a quarter more or less: it rises from 0 to a height
// between 0.75 and 1, is highest when the share `late` of it has gone by, and sinks back. The first has begun before.
func (p *player) swells(everySec, late float64) curve {
	c := make(curve, p.frames/hop+2)
	bend := math.Log(0.5) / math.Log(late)
	lengthSec, height := everySec*p.noise.between(0.75, 1.25), p.noise.between(0.75, 1)
	beganSec := -p.noise.between(0.05, 0.3) * lengthSec
	for i := range c {
		x := (float64(i*hop)/p.rateHz - beganSec) / lengthSec
		if x >= 1 {
			beganSec += lengthSec
			lengthSec, height = everySec*p.noise.between(0.75, 1.25), p.noise.between(0.75, 1)
			x = 0
		}
		s := math.Sin(math.Pi * math.Pow(max(x, 0), bend))
		c[i] = height * s * s
	}
	return c
}

// arc is how far a sound is opened over most of a take: one long rise and fall, on which the gestures ride.
func (p *player) arc(gestures curve) curve {
	long := p.swells(8.5, 0.55)
	for i := range long {
		long[i] *= 0.65 + 0.35*gestures[i]
	}
	return long
}

// inDB turns a curve from 0 to 1 into gains from −depthDB to 0 dB.
func (c curve) inDB(depthDB float64) curve {
	gains := make(curve, len(c))
	for i, v := range c {
		gains[i] = dB(depthDB * (v - 1))
	}
	return gains
}

// less returns 1 − c: what steps back as c comes forward.
func (c curve) less() curve { return c.scaled(-1, 1) }

// spectrum gives the amplitude of harmonic h, which lies at hz.
type spectrum func(h, hz float64) float64

// morph adds a tone whose spectrum goes from one to another and back, where open is 0 and 1. Both have the same
// phases, so that nothing cancels, and the same power, so that what moves is the timbre. Soft, the phases are loose;
// the harder a reed, lips or a bow are driven, the more of the period's force falls on one moment.
func (p *player) morph(out []float64, hz float64, from, to spectrum, cents, amp, open curve) {
	loose := min(max(1.25-1.4*p.force, 0), 1)
	phases := p.phases()
	for i := range phases {
		phases[i] *= loose
	}
	turn := p.noise.unit()
	for _, end := range []struct {
		of    spectrum
		share curve
	}{{from, open.less()}, {to, open}} {
		amps, sum := p.harmonics(hz, end.of), 0.0
		for _, a := range amps {
			sum += a * a / 2
		}
		if sum > 0 {
			p.sing(out, p.wave(amps, phases), hz, cents, amp.times(end.share).scaled(1/math.Sqrt(sum), 0), turn)
		}
	}
}
