// Speech before and after the sound of a take, which is cut off by proposal.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	soundLeastSec   = 0.15 // what is shorter is not what the take is about
	soundUnderDB    = 25   // nor what is so far under the highest level
	speechMarginSec = 0.1  // kept away from the speech, where the pause is long enough
	speechAloneSec  = 0.6  // of speech and nothing else make a take of speech
	samePitchCents  = 25   // a word hardly ever hits the note beside it, octaves apart included
)

// withoutSpeech gives the part of a take, in frames, that lies between what is said before its sound and what is said
// after it, and whether anything is said. Where nothing is said, or nothing but that is heard, it is all of the take.
func (b *blocks) withoutSpeech(samples []float32, rateHz int) (from, to int, found bool) {
	all := b.stretches()
	speech := make([]bool, len(all))
	saidSec := 0.0
	for i, s := range all {
		if speech[i] = isSpeech(s.of(samples), rateHz); speech[i] {
			saidSec += float64(s.to-s.from) / float64(rateHz)
		}
	}
	main := b.mainStretch(all, speech, samples, rateHz)
	if main < 0 {
		return 0, len(samples), saidSec >= speechAloneSec
	}
	markWords(all, speech, main, samples, rateHz)
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

// mainStretch is the one with most energy of those that are no speech, and rather one that is no word; −1 for none.
func (b *blocks) mainStretch(all []stretch, speech []bool, samples []float32, rateHz int) int {
	main, most, mainIsWord := -1, 0.0, true
	for i, s := range all {
		if speech[i] || !b.isMain(s, rateHz) {
			continue
		}
		part := s.of(samples)
		energy := sound.MeanSquare(part) * float64(len(part))
		word := len(all) > 1 && isWord(part, rateHz, math.NaN())
		if main < 0 || mainIsWord && !word || mainIsWord == word && energy > most {
			main, most, mainIsWord = i, energy, word
		}
	}
	return main
}

// markWords marks as speech the words that stand alone beside the main stretch.
func markWords(all []stretch, speech []bool, main int, samples []float32, rateHz int) {
	if len(all) < 2 {
		return
	}
	noteHz := math.NaN()
	if pitch := FindPitch(all[main].of(samples), rateHz); pitch.Sure() {
		noteHz = pitch.Hz
	}
	for i, s := range all {
		speech[i] = i != main && (speech[i] || isWord(s.of(samples), rateHz, noteHz))
	}
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
