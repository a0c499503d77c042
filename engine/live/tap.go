// Tap: what goes to the loudspeaker, for somebody who measures it while it plays.

package live

import "lapstrake/mapping/sound"

const tapSec = 0.5 // that may pass between two looks

// Tap measures the output outside the audio thread. One goroutine.
type Tap struct {
	ring     *soundRing
	taken    []float32
	channels [2][]float32 // what was taken last, behind the end of what came before it
}

// Tap begins to measure the output; what was tapped before is measured no more.
func (p *Player) Tap() *Tap {
	t := &Tap{ring: newSoundRing(int(tapSec * float64(p.rateHz))), taken: make([]float32, 2*1024)}
	for c := range t.channels {
		t.channels[c] = make([]float32, sound.TruePeakReach)
	}
	p.tap.Store(t)
	return t
}

// TruePeakDBTP is the true peak of what has left since it was last asked for (ITU-R BS.1770-5, annex 2); -120 for
// silence.
func (t *Tap) TruePeakDBTP() float64 {
	most := 0.0
	for {
		frames := t.ring.take(t.taken)
		if frames == 0 {
			return max(sound.AmplitudeDB(most), -120)
		}
		for c := range t.channels {
			channel := t.channels[c]
			kept := channel[:copy(channel, channel[len(channel)-sound.TruePeakReach:])]
			for i := range frames {
				kept = append(kept, t.taken[2*i+c])
			}
			t.channels[c] = kept
			most = max(most, sound.TruePeakWithin(kept))
		}
	}
}
