// Dry: one sound as it is, in place of the music.

package live

import "sync/atomic"

const drySec = 0.02 // from the music to the sound and back

// dry plays a sound over what the loudspeaker gets. Its apply method runs on the audio thread.
type dry struct {
	wanted atomic.Pointer[[]float32]
	step   float64 // of gain, in one frame

	playing *[]float32
	at      int // next frame
	gain    float64
}

func newDry(rateHz int) dry { return dry{step: 1 / (drySec * float64(rateHz))} }

// apply mixes the sound over out. Audio thread: no allocation, lock or system call.
func (d *dry) apply(out []float32) {
	wanted := d.wanted.Load()
	if wanted == nil && d.playing == nil {
		return
	}
	for i := 0; i < len(out); i += 2 {
		if d.playing != wanted && d.gain == 0 {
			d.playing, d.at = wanted, 0
		}
		if d.playing == nil {
			return
		}
		sound := *d.playing
		left := len(sound)/2 - d.at
		if d.playing == wanted && float64(left)*d.step > 1 {
			d.gain = min(d.gain+d.step, 1)
		} else {
			d.gain = max(d.gain-d.step, 0)
		}
		var x, y float32
		if left > 0 {
			x, y = sound[2*d.at], sound[2*d.at+1]
			d.at++
		}
		gain := float32(d.gain)
		out[i] += gain * (x - out[i])
		out[i+1] += gain * (y - out[i+1])
		if left <= 1 && d.playing == wanted {
			d.wanted.CompareAndSwap(wanted, nil)
			wanted = d.wanted.Load()
		}
	}
}

// PlayDry plays stereo, interleaved, at the player's rate, in place of the music, once; nil brings the music back. It
// is for the loudspeaker alone: a recording does not get it. The samples must not change any more.
func (p *Player) PlayDry(stereo []float32) {
	if stereo == nil {
		p.dry.wanted.Store(nil)
		return
	}
	p.dry.wanted.Store(&stereo)
}

// IsDry says whether a sound plays in place of the music.
func (p *Player) IsDry() bool { return p.dry.wanted.Load() != nil }
