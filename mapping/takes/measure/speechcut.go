// Speech before and after the sound of a take, which is cut off by proposal.

package measure

import "lapstrake/mapping/sound"

const (
	soundLeastSec   = 0.15 // what is shorter is not what the take is about
	soundUnderDB    = 25   // nor what is so far under the highest level
	speechMarginSec = 0.1  // kept away from the speech, where the pause is long enough
)

// withoutSpeech gives the part of a take, in frames, that lies between what is said before its sound and what is said
// after it; all of it, and false, when nothing is said, or nothing but that is heard.
func (b *blocks) withoutSpeech(samples []float32, rateHz int) (from, to int, found bool) {
	all := b.stretches()
	if len(all) < 2 {
		return 0, len(samples), false
	}
	speech := make([]bool, len(all))
	main, loudest := -1, 0.0
	for i, s := range all {
		part := samples[s.from:min(s.to, len(samples))]
		if speech[i] = isSpeech(part, rateHz); speech[i] {
			found = true
			continue
		}
		if energy := sound.MeanSquare(part) * float64(len(part)); energy > loudest && b.isMain(s, rateHz) {
			main, loudest = i, energy
		}
	}
	if main < 0 || !found {
		return 0, len(samples), false
	}
	from, to, found = 0, len(samples), false
	margin := int(speechMarginSec * float64(rateHz))
	for i := main - 1; i >= 0 && from == 0; i-- {
		if speech[i] {
			from, found = all[i].to+min(margin, (all[i+1].from-all[i].to)/2), true
		}
	}
	for i := main + 1; i < len(all) && to == len(samples); i++ {
		if speech[i] {
			to, found = all[i].from-min(margin, (all[i].from-all[i-1].to)/2), true
		}
	}
	return from, to, found
}

// isMain tells whether a stretch is long and loud enough to be what a take is about.
func (b *blocks) isMain(s stretch, rateHz int) bool {
	highest, here := 0.0, 0.0
	for i, level := range b.smooth {
		highest = max(highest, level)
		if at := i * b.lengthFrames; at >= s.from && at < s.to {
			here = max(here, level)
		}
	}
	return float64(s.to-s.from) >= soundLeastSec*float64(rateHz) && here > highest*sound.DBToPower(-soundUnderDB)
}
