// How a sound was recorded: the room, the recorder's band, hiss, hum, level and lead-in of each contributor.
package boatyard

import "math"

// recording describes one contributor's place and gear.
type recording struct {
	room            room
	peakDB          float64 // peak level as received, dBFS
	hissDB          float64 // RMS of the hiss, dBFS
	humDB           float64 // level of the mains' 50 Hz, dBFS; 0: none
	lowCutHz, topHz float64 // the recorder's band; 0 means 25 Hz and no upper limit
	leadSec         float64 // before the sound begins
	mono            bool    // both channels the same
	lopsidedDB      float64 // left channel above the right
}

// record returns the performance as interleaved stereo after `lead` frames of the empty room.
func (r recording) record(p *player, lead int) []float32 {
	frames := lead + p.frames
	left, right := make([]float64, frames), make([]float64, frames)
	copy(left[lead:], p.mid)
	copy(right[lead:], p.mid)
	for i, s := range p.side {
		left[lead+i] += s
		right[lead+i] -= s
	}
	r.room.add(left[lead:], right[lead:], p.mid, p.rateHz)
	if r.mono {
		for i := range left {
			left[i] = (left[i] + right[i]) / 2
		}
		right = left
	}
	r.band(left, p.rateHz)
	if !r.mono {
		r.band(right, p.rateHz)
	}
	gain := dB(r.peakDB) / max(highest(left), highest(right), 1e-9)
	out := make([]float32, 2*frames)
	tilt := dB(-math.Abs(r.lopsidedDB))
	gainLeft, gainRight := gain, gain
	if r.lopsidedDB > 0 {
		gainRight *= tilt
	} else if r.lopsidedDB < 0 {
		gainLeft *= tilt
	}
	r.background(out, p)
	for i := range left {
		out[2*i] += float32(left[i] * gainLeft)
		out[2*i+1] += float32(right[i] * gainRight)
	}
	fadeEnd(out, int(0.01*p.rateHz))
	return out
}

// band keeps what the recorder keeps; the low cut is second-order and takes all constant offset away.
func (r recording) band(x []float64, rateHz float64) {
	highpass(rateHz, max(r.lowCutHz, 25), 0.7).run(x)
	if r.topHz > 0 && r.topHz < topShare*rateHz {
		lowpass(rateHz, r.topHz, 0.7).run(x)
	}
}

// background fills out with hiss and hum.
func (r recording) background(out []float32, p *player) {
	frames := len(out) / 2
	hiss := make([]float64, len(out))
	p.noise.white(hiss)
	level := dB(r.hissDB)
	pole := math.Exp(-2 * math.Pi * 7000 / p.rateHz) // hiss falls off gently above 7 kHz
	var left, right float64
	level *= math.Sqrt((1 + pole) / (1 - pole)) // keeps the RMS
	for i := range frames {
		left += (1 - pole) * (hiss[2*i] - left)
		right += (1 - pole) * (hiss[2*i+1] - right)
		if r.mono {
			right = left
		}
		out[2*i], out[2*i+1] = float32(level*left), float32(level*right)
	}
	if r.humDB == 0 {
		return
	}
	// The mains and its harmonics, odd ones strong: a transformer nearby.
	hum := make([]float64, frames)
	mains := p.wave([]float64{1, 0.2, 0.5, 0.05, 0.3, 0.03, 0.15}, p.phases())
	whole := player{rateHz: p.rateHz, frames: frames}
	whole.sing(hum, mains, 50, whole.flat(0), whole.flat(dB(r.humDB)), 0)
	for i, v := range hum {
		out[2*i] += float32(v)
		out[2*i+1] += float32(v)
	}
}

// fadeEnd lets the last frames go to nothing, as a recording is cut.
func fadeEnd(out []float32, frames int) {
	frames = min(frames, len(out)/2)
	for i := range frames {
		gain := float32(i) / float32(frames)
		end := len(out) - 2*i
		out[end-2] *= gain
		out[end-1] *= gain
	}
}

// highest returns the largest magnitude.
func highest(x []float64) float64 {
	top := 0.0
	for _, v := range x {
		top = max(top, math.Abs(v))
	}
	return top
}
