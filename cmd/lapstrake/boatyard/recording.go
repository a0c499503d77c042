// How a sound was recorded: the room, the recorder's band, hiss, hum, level and lead-in of each contributor.

package boatyard

import "math"

// recording describes one contributor's place and gear.
type recording struct {
	room            room
	peakDB          float64 // peak level as received, played neither softly nor loudly, dBFS
	hissDB          float64 // RMS of the hiss, dBFS
	humDB           float64 // level of the mains' 50 Hz, dBFS; 0: none
	lowCutHz, topHz float64 // the recorder's band; 0 means 25 Hz and no upper limit
	leadSec         float64 // before the sound begins
	mono            bool    // both channels the same
	lopsidedDB      float64 // left channel above the right
}

// loudestDB is where the highest peaks of a take lie at most, in dBFS.
const loudestDB = -3

// record returns the performance after `lead` frames of the empty room.
func (r recording) record(p *player, lead int) *stereo {
	frames := lead + p.frames
	s := &stereo{p.space(frames), p.space(frames)}
	clear(s.left[:lead])
	clear(s.right[:lead])
	copy(s.left[lead:], p.mid)
	copy(s.right[lead:], p.mid)
	for i, width := range p.side {
		s.left[lead+i] += width
		s.right[lead+i] -= width
	}
	r.room.add(s.part(lead, frames), p)
	if r.mono {
		for i, v := range s.left {
			s.left[i] = (v + s.right[i]) / 2
		}
		copy(s.right, s.left)
	}
	r.band(s.left, s.right, p.rateHz)
	peakDB := min(r.peakDB+14*(p.force-plainForce), loudestDB) // the recorder stands where it stood
	gain := dB(peakDB) / max(highest(s.left), highest(s.right), 1e-9)
	gainLeft, gainRight := gain, gain
	if r.lopsidedDB > 0 {
		gainRight *= dB(-r.lopsidedDB)
	} else {
		gainLeft *= dB(r.lopsidedDB)
	}
	r.finish(s, gainLeft, gainRight, p)
	s.fade(0, min(int(0.01*p.rateHz), frames)) // as a recording is cut
	return s
}

// band keeps what the recorder keeps; the low cut is second-order and takes all constant offset away.
func (r recording) band(left, right []float64, rateHz float64) {
	highpass(rateHz, max(r.lowCutHz, 25), 0.7).runBoth(left, right)
	if r.topHz > 0 && r.topHz < topShare*rateHz {
		lowpass(rateHz, r.topHz, 0.7).runBoth(left, right)
	}
}

// finish sets the channels' levels and adds hiss and hum.
func (r recording) finish(s *stereo, gainLeft, gainRight float64, p *player) {
	pole := math.Exp(-2 * math.Pi * 7000 / p.rateHz)                  // hiss falls off gently above 7 kHz
	blend := dB(r.hissDB) * math.Sqrt((1+pole)/(1-pole)) * (1 - pole) // the filter's loss made good
	hiss := p.space(2 * hop)
	var left, right float64
	for start := 0; start < len(s.left); start += hop {
		p.noise.white(hiss)
		l := s.left[start:min(start+hop, len(s.left))]
		rest := s.right[start:][:len(l)]
		for i := range l {
			left = pole*left + blend*hiss[2*i]
			right = pole*right + blend*hiss[2*i+1]
			if r.mono {
				right = left
			}
			l[i] = l[i]*gainLeft + left
			rest[i] = rest[i]*gainRight + right
		}
	}
	if r.humDB == 0 {
		return
	}
	// The mains and its harmonics, odd ones strong: a transformer nearby.
	hum := p.floats(len(s.left))
	mains := p.wave([]float64{1, 0.2, 0.5, 0.05, 0.3, 0.03, 0.15}, p.phases())
	whole := player{rateHz: p.rateHz, frames: len(hum)}
	whole.sing(hum, mains, 50, whole.flat(0), whole.flat(dB(r.humDB)), 0)
	for i, v := range hum {
		s.left[i] += v
		s.right[i] += v
	}
}

// highest returns the largest magnitude.
func highest(x []float64) float64 {
	top := 0.0
	for _, v := range x {
		if v > top {
			top = v
		} else if -v > top {
			top = -v
		}
	}
	return top
}
