// Slow curves: pitch drift, vibrato, swells and envelopes, one value every 64 frames.

package boatyard

import "math"

// hop is the distance between two values of a curve, in frames.
const hop = 64

// curve holds the values at frames 0, hop, 2·hop, …; the last lies at or beyond the performance's end.
type curve []float64

// curve makes one whose value at a time is at(timeSec).
func (p *player) curve(at func(timeSec float64) float64) curve {
	c := make(curve, p.frames/hop+2)
	for i := range c {
		c[i] = at(float64(i*hop) / p.rateHz)
	}
	return c
}

func (p *player) flat(value float64) curve {
	return p.curve(func(float64) float64 { return value })
}

// drift wanders between −depth and +depth, mostly well inside: four sines whose rates no small whole numbers relate,
// the fastest at about fastestHz. Each is a pointer turned once a step.
func (p *player) drift(depth, fastestHz float64) curve {
	c := make(curve, p.frames/hop+2)
	for k := range 4 {
		rateHz := fastestHz * math.Pow(0.61, float64(k)) * p.noise.between(0.85, 1.15)
		turnSin, turnCos := math.Sincos(2 * math.Pi * rateHz * hop / p.rateHz)
		sin, cos := math.Sincos(2 * math.Pi * p.noise.unit())
		for i := range c {
			c[i] += depth / 4 * sin
			sin, cos = sin*turnCos+cos*turnSin, cos*turnCos-sin*turnSin
		}
	}
	return c
}

// wander swings unevenly between −depth and +depth and spends most of its time well away from 0: the pitch of a hand
// or a breath that corrects itself late.
func (p *player) wander(depth, rateHz float64) curve {
	lag, phase := p.drift(2.5, rateHz*0.9), 2*math.Pi*p.noise.unit()
	for i := range lag {
		t := float64(i*hop) / p.rateHz
		lag[i] = depth * math.Sin(2*math.Pi*rateHz*t+phase+lag[i])
	}
	return lag
}

// vibrato swings by ±depth, growing to that over growSec, its rate wavering as a hand's does.
func (p *player) vibrato(depth, rateHz, growSec float64) curve {
	wobble, phase := p.drift(0.6, 0.7), 2*math.Pi*p.noise.unit()
	i := 0
	return p.curve(func(t float64) float64 {
		v := depth * min(1, t/growSec) * math.Sin(2*math.Pi*rateHz*t+phase+wobble[i])
		i++
		return v
	})
}

// glide starts `cents` away and settles on 0 with the time constant given.
func (p *player) glide(cents, settleSec float64) curve {
	return p.curve(func(t float64) float64 { return cents * math.Exp(-t/settleSec) })
}

// envelope rises over attackSec (unevenly: each performance by up to a third more or less) and falls to nothing
// over the last releaseSec.
func (p *player) envelope(attackSec, releaseSec float64) curve {
	attackSec *= p.noise.between(0.67, 1.33)
	end := float64(p.frames) / p.rateHz
	return p.curve(func(t float64) float64 {
		up := min(1, t/attackSec)
		down := min(1, max(0, end-t)/releaseSec)
		return math.Sin(up*math.Pi/2) * down * down * (3 - 2*down)
	})
}

func (c curve) plus(d curve) curve {
	sum := make(curve, len(c))
	for i := range c {
		sum[i] = c[i] + d[i]
	}
	return sum
}

func (c curve) times(d curve) curve {
	product := make(curve, len(c))
	for i := range c {
		product[i] = c[i] * d[i]
	}
	return product
}

// scaled returns offset + gain·c.
func (c curve) scaled(gain, offset float64) curve {
	s := make(curve, len(c))
	for i := range c {
		s[i] = offset + gain*c[i]
	}
	return s
}

// widestCents bounds drift and vibrato together.
const widestCents = 6.0

// centred takes from a pitch curve its mean as heard under the amplitudes amp, so that the centre of pitch, by
// power, is the root, and narrows it to ±6 cents where it is wider.
func (c curve) centred(amp curve) curve {
	var sum, power float64
	for i, a := range amp {
		sum += a * a * c[i]
		power += a * a
	}
	mean := sum / max(power, 1e-12)
	widest := 0.0
	for _, v := range c {
		widest = max(widest, math.Abs(v-mean))
	}
	narrow := widestCents / max(widest, widestCents)
	return c.scaled(narrow, -mean*narrow)
}

// addShaped adds gain·x to out, multiplied by the curve, straight lines between its values.
func (c curve) addShaped(out, x []float64, gain float64) {
	for start, k := 0, 0; start < len(x); start, k = start+hop, k+1 {
		part := x[start:min(start+hop, len(x))]
		to := out[start:][:len(part)]
		g, step := gain*c[k], gain*(c[k+1]-c[k])/hop
		for i, v := range part {
			to[i] += g * v
			g += step
		}
	}
}
