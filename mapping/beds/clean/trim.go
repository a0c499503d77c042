// Trimming: a take is cut to its sound, with fades so short that the ear hears none.

package clean

import (
	"math"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

// Fades at cuts inside a take last as long as the margins allow, up to these; where the file itself begins or ends
// in the middle of the sound, only as long as keeps it from clicking.
const (
	longestFadeInSec  = 0.010
	longestFadeOutSec = 0.060
	clickSec          = 0.001
)

// trim is what is kept of a take: frames from (inclusive) to to (exclusive). The sound goes from onset to end.
type trim struct {
	from, onset, end, to        int
	fadeInFrames, fadeOutFrames int
}

// findTrim places the cuts. A take in which no onset was found is kept whole.
func findTrim(frames, rateHz int, m measure.Measures, set project.ConformSettings) trim {
	rate := float64(rateHz)
	t := trim{from: 0, onset: 0, end: frames, to: frames}
	if !math.IsNaN(m.OnsetSec) && !math.IsNaN(m.EndSec) {
		t.onset = min(max(0, int(m.OnsetSec*rate)), frames-1)
		t.end = min(max(t.onset+1, int(m.EndSec*rate)), frames)
	}
	if set.Trim {
		t.from = max(0, t.onset-int(set.TrimBeforeMs/1000*rate))
		t.to = min(frames, t.end+int(set.TrimAfterMs/1000*rate))
	}
	click := int(clickSec * rate)
	// Half the margin stays untouched, since the onset may have been found a little late.
	t.fadeInFrames = min(max(click, min((t.onset-t.from)/2, int(longestFadeInSec*rate))), t.to-t.from)
	t.fadeOutFrames = min(max(click, min(t.to-t.end, int(longestFadeOutSec*rate))), t.to-t.from)
	return t
}

// cut cuts the channels and fades their ends by raised cosines.
func (t trim) cut(channels [][]float32) {
	for c, channel := range channels {
		kept := channel[t.from:t.to]
		for i := range t.fadeInFrames {
			kept[i] *= raisedCosine(i, t.fadeInFrames)
		}
		for i := range t.fadeOutFrames {
			kept[len(kept)-1-i] *= raisedCosine(i, t.fadeOutFrames)
		}
		channels[c] = kept
	}
}

// raisedCosine rises from almost 0 at frame 0 to almost 1 at the last of so many frames.
func raisedCosine(frame, frames int) float32 {
	return float32(sound.HannEven(frame, 2*frames))
}
