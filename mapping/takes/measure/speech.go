// Whether a stretch of a take is speech: voiced, in syllables, its melody and its timbre always on the move.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	speechLeastSec    = 0.2
	speechLookSec     = 8    // of a longer stretch, so much is looked at
	speechRateHz      = 8000 // for voice and its melody
	speechFrameSec    = 0.04
	speechHopSec      = 0.01
	speechLowHz       = 70 // of a speaking voice, common practice
	speechHighHz      = 400
	speechVoiced      = 0.55 // height of the autocorrelation of a voiced frame
	speechLoudDB      = 25   // under the loudest frame: what is softer is not looked at
	speechVoicedPart  = 0.3  // of the frames
	speechMelody      = 120  // cents from the 10th to the 90th percentile of the voice's pitch
	speechLeapOctaves = 0.1  // from a frame to the next is no glide
	speechVowelHz     = 1500 // in its darkest vowels the centroid is lower
	speechPitchSure   = 0.3  // a note is surer of its pitch than this, and speech is not
	speechTimbreWide  = 2    // octaves of that which no note has: vowels and hisses
	speechTimbre      = 0.7  // octaves from the 10th to the 90th percentile of the spectrum's centroid
)

// speechSigns are what isSpeech judges by.
type speechSigns struct {
	voicedPart    float64 // of the loud frames
	melodyCents   float64 // spread of the pitch of the voiced frames
	glideCents    float64 // range of the pitch in its steps that are no leaps
	timbreOctaves float64 // spread of the centroid
	darkestHz     float64 // 10th percentile of the centroid
}

// isSpeech says whether a stretch of sound is speech.
func isSpeech(x []float32, rateHz int) bool {
	x = x[:min(len(x), speechLookSec*rateHz)]
	if float64(len(x)) < speechLeastSec*float64(rateHz) {
		return false
	}
	s := findSpeechSigns(x, rateHz)
	if s.voicedPart < speechVoicedPart || s.melodyCents < speechMelody || s.timbreOctaves < speechTimbre ||
		s.darkestHz > speechVowelHz {
		return false
	}
	surest := speechPitchSure
	if s.timbreOctaves > speechTimbreWide {
		surest = SurePitch
	}
	return FindPitch(x, rateHz).Confidence < surest
}

func findSpeechSigns(x []float32, rateHz int) (s speechSigns) {
	low, lowRateHz := lowered(x, rateHz)
	size, hop := int(speechFrameSec*lowRateHz), int(speechHopSec*lowRateHz)
	analyser := sound.BorrowSpectrum(sound.PowerOfTwo(speechFrameSec/2, rateHz))
	defer analyser.GiveBack()
	binHz := float64(rateHz) / float64(analyser.SizeFrames)
	var levels, centroids, pitches []float64
	for at := 0; at+size <= len(low); at += hop {
		frame := low[at : at+size]
		power := analyser.At(x, int(float64(at+size/2)*float64(rateHz)/lowRateHz))
		sum, weighted := 1e-30, 0.0
		for i, p := range power {
			if hz := float64(i) * binHz; hz > speechLowHz {
				sum += p
				weighted += p * math.Log2(hz)
			}
		}
		levels = append(levels, sound.PowerDB(sum))
		centroids = append(centroids, weighted/sum)
		pitches = append(pitches, voicePitch(frame, lowRateHz))
	}
	if len(levels) == 0 {
		return s
	}
	threshold := slices.Max(levels) - speechLoudDB
	var loudCentroids, voiced []float64
	loud := 0
	for i, level := range levels {
		if level < threshold {
			continue
		}
		loud++
		loudCentroids = append(loudCentroids, centroids[i])
		if pitches[i] > 0 {
			voiced = append(voiced, pitches[i])
		}
	}
	s.voicedPart = float64(len(voiced)) / float64(loud)
	s.timbreOctaves = spread(loudCentroids)
	slices.Sort(loudCentroids)
	s.darkestHz = math.Exp2(loudCentroids[len(loudCentroids)/10])
	for i := range voiced {
		voiced[i] = math.Log2(voiced[i])
	}
	s.melodyCents = 1200 * spread(voiced)
	s.glideCents = 1200 * glide(voiced)
	return s
}

// glide is the range of values, in octaves, that follow each other, leaps left out.
func glide(octaves []float64) float64 {
	at, lowest, highest := 0.0, 0.0, 0.0
	for i := 1; i < len(octaves); i++ {
		if step := octaves[i] - octaves[i-1]; math.Abs(step) < speechLeapOctaves {
			at += step
			lowest, highest = min(lowest, at), max(highest, at)
		}
	}
	return highest - lowest
}

// spread is from the 10th to the 90th percentile.
func spread(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(values))
	return sorted[len(sorted)*9/10] - sorted[len(sorted)/10]
}

// voicePitch is the pitch of a voiced frame by the height of its autocorrelation, 0 for a frame that is not.
func voicePitch(frame []float64, rateHz float64) float64 {
	half := len(frame) / 2
	best, bestLag := 0.0, 0
	for lag := int(rateHz / speechHighHz); lag <= min(int(rateHz/speechLowHz), len(frame)-half/2); lag++ {
		xy, xx, yy := 0.0, 1e-20, 1e-20
		for i := 0; i+lag < len(frame); i++ {
			a, b := frame[i], frame[i+lag]
			xy += a * b
			xx += a * a
			yy += b * b
		}
		if r := xy / math.Sqrt(xx*yy); r > best+0.02 { // of multiples of the period, the first
			best, bestLag = r, lag
		}
	}
	if best < speechVoiced {
		return 0
	}
	return rateHz / float64(bestLag)
}

// lowered is x at about 8 kHz, by means of as many samples; without what lies under a voice.
func lowered(x []float32, rateHz int) (low []float64, lowRateHz float64) {
	by := max(1, rateHz/speechRateHz)
	low = make([]float64, len(x)/by)
	for i := range low {
		for _, v := range x[i*by : (i+1)*by] {
			low[i] += float64(v) / float64(by)
		}
	}
	return low, float64(rateHz) / float64(by)
}
