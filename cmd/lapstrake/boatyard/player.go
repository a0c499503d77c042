// One performance: the place where a maker's sound is put together before it is recorded.

package boatyard

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// player is what a maker plays with and plays into.
type player struct {
	*arena
	rateHz, rootHz float64
	frames         int
	force          float64 // 0 barely … 1 as hard as it goes
	noise          *noise
	fft            *fourier.FFT // made with the first wave
	scratch        []float64    // hush's

	mid  []float64 // the sound, `frames` long
	side []float64 // half the difference between left and right; nil for a source without width
}

// buffer returns silence as long as the performance.
func (p *player) buffer() []float64 { return p.floats(p.frames) }

// lean is an amount that grows with force: low at 0, high at 1, in equal ratios.
func (p *player) lean(low, high float64) float64 {
	return low * math.Pow(high/low, p.force)
}

// frameAt is the frame at a time, kept within the performance.
func (p *player) frameAt(timeSec float64) int {
	return min(max(int(timeSec*p.rateHz), 0), p.frames)
}

// hush adds noise that went through the filters, RMS rms, shaped by amp.
func (p *player) hush(out []float64, rms float64, amp curve, filters ...biquad) {
	if p.scratch == nil {
		p.scratch = p.space(p.frames)
	}
	x := p.scratch[:len(out)]
	p.noise.white(x)
	for _, f := range filters {
		f.run(x)
	}
	if loud := power(x); loud > 0 {
		amp.addShaped(out, x, rms/math.Sqrt(loud))
	}
}

// setRMS scales x to the RMS given; silence stays silence.
func setRMS(x []float64, rms float64) {
	loud := power(x)
	if loud == 0 {
		return
	}
	gain := rms / math.Sqrt(loud)
	for i := range x {
		x[i] *= gain
	}
}

// power is the mean square.
func power(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(max(len(x), 1))
}

// blow is one stroke of a mallet, clapper or finger.
type blow struct {
	atSec      float64
	strength   float64
	contactSec float64 // longest contact; a high root's mode is met for less than one of its periods
	grit       float64 // roughness of the surfaces, as a share of the force
}

// strike sets the modes ringing. The force is a raised cosine over the contact: the longer it lasts the less it
// holds of high frequencies, which is what makes a padded mallet dull.
func (p *player) strike(out []float64, modes []mode, b blow) {
	p.ring(out[p.frameAt(b.atSec):], modes, p.push(b))
}

// push is the force of a blow over its contact; smooth, it sums to the strength.
func (p *player) push(b blow) []float64 {
	frames := max(int(min(b.contactSec, 0.8/p.rootHz)*p.rateHz), 3)
	force := p.space(frames)
	p.noise.white(force)
	for i := range force {
		window := 1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(frames))
		force[i] = b.strength * window * (1 + b.grit*force[i]) / float64(frames)
	}
	return force
}

// knock adds the dull body sound of a blow: noise in a band that dies away by 60 dB in decaySec.
func (p *player) knock(atSec, hz, q, decaySec, level float64) {
	start := p.frameAt(atSec)
	x := p.space(min(p.frames-start, int(decaySec*p.rateHz*1.3)))
	p.noise.white(x)
	bandpass(p.rateHz, hz, q).run(x)
	setRMS(x, level)
	fall := poleRadius(decaySec, p.rateHz)
	gain, rise := 1.0, min(len(x), int(0.0007*p.rateHz))
	for i, v := range x {
		if i < rise {
			v *= float64(i) / float64(rise)
		}
		p.mid[start+i] += v * gain
		gain *= fall
	}
}

// ease lets the sound come in over riseSec: pushed rather than hit, a body takes its time.
func (p *player) ease(riseSec float64) {
	frames := p.frameAt(riseSec)
	for i := range frames {
		g := 0.5 - 0.5*math.Cos(math.Pi*(float64(i)+0.5)/float64(frames))
		p.mid[i] *= g
		if p.side != nil {
			p.side[i] *= g
		}
	}
}

// spread gives the source width: x goes to one place between left (−1) and right (1), the gains adding up to the
// same power everywhere.
func (p *player) spread(x []float64, place float64) {
	if p.side == nil {
		p.side = p.buffer()
	}
	sin, cos := math.Sincos((place + 1) * math.Pi / 4)
	for i, v := range x {
		p.mid[i] += v * (cos + sin) / 2
		p.side[i] += v * (cos - sin) / 2
	}
}

// folded returns the octave of the root that lies within one octave from lowHz: for sounds that have no use for the
// root's own octave.
func (p *player) folded(lowHz float64) float64 {
	return lowHz * math.Exp2(math.Mod(math.Mod(math.Log2(p.rootHz/lowHz), 1)+1, 1))
}
