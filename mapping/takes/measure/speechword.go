// A single word beside a sound: too short, or too level, to be told for speech by itself.

package measure

import "math"

const (
	wordMostSec      = 1
	wordVoicedPart   = 0.5 // of the frames
	wordDarkHz       = 180 // in the darkest vowel the centroid is higher than in a drum or a low string
	wordTimbre       = 1.3 // octaves that a word on one pitch moves by from sound to sound: a vowel, a hiss
	wordGlideCents   = 250 // that a word moves by which is one vowel
	wordGlideTimbre  = 0.3 // octaves
	wordGlidesUnsure = 0.2 // confidence in a pitch; a note, even a bent one, is surer
	octaveCents      = 1200
)

// isWord says whether a stretch beside a note, whose pitch may be NaN, is a word: voiced and short, either on one
// pitch, not the note's, with vowels and hisses that differ as no single note does, or gliding so that it has no
// pitch.
func isWord(x []float32, rateHz int, noteHz float64) bool {
	sec := float64(len(x)) / float64(rateHz)
	if sec < speechLeastSec || sec > wordMostSec {
		return false
	}
	s := findSpeechSigns(x, rateHz)
	level, glides := s.timbreOctaves >= wordTimbre, s.glideCents >= wordGlideCents &&
		s.timbreOctaves >= wordGlideTimbre
	if s.voicedPart < wordVoicedPart || s.darkestHz < wordDarkHz || s.darkestHz > speechVowelHz || !level && !glides {
		return false
	}
	pitch := FindPitch(x, rateHz)
	if glides && pitch.Confidence < wordGlidesUnsure {
		return true
	}
	apartCents := math.Abs(math.Remainder(octaveCents*math.Log2(pitch.Hz/noteHz), octaveCents))
	return level && pitch.Hz > speechLowHz && pitch.Hz < speechHighHz && !(apartCents < samePitchCents)
}
