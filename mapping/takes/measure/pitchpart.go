// The part of a take in which the note sounds, as the pitch finder needs it: behind the attack, above the noise.

package measure

import (
	"slices"

	"lapstrake/mapping/sound"
)

// pitchPart is a span of frames [begin, end) in which the note sounds; [0, before) and [after, length) are not
// the note but the noise and hum around it.
type pitchPart struct {
	begin, end    int
	before, after int
}

const (
	pitchLevelSec  = 0.01  // levels are taken in steps of this length
	pitchOnsetDB   = 6     // the note has begun when it is this near to its loudest
	pitchEndDB     = 24    // and has ended when it is this far below
	pitchAttackSec = 0.015 // what is skipped behind the onset, if the note is long enough
	pitchNoiseSec  = 0.06  // shorter stretches around the note say nothing about the noise

	pitchStretchSec = 120 // of a longer take, so much is looked at
	pitchLeadSec    = 2   // of it before the note, for the noise
)

// pitchStretch is what of a long take the pitch is looked for in: from shortly before it first comes near its loudest.
// The spectra of its pitch take eight bytes a sample, which half an hour has too many of.
func pitchStretch(mono []float32, rateHz int) []float32 {
	most, before := int(pitchStretchSec*float64(rateHz)), int(pitchLeadSec*float64(rateHz))
	if len(mono) <= most {
		return mono
	}
	step := max(1, rateHz/10)
	var powers []float64
	for at := 0; at+step <= len(mono); at += step {
		powers = append(powers, sound.MeanSquare(mono[at:at+step]))
	}
	threshold := slices.Max(powers) * sound.DBToPower(-pitchOnsetDB)
	first := step*slices.IndexFunc(powers, func(power float64) bool { return power >= threshold }) - before
	first = min(max(0, first), len(mono)-most)
	return mono[first : first+most]
}

// findPitchPart finds the sounding part of x; ok is false for silence and for less than 20 ms of sound.
func findPitchPart(x []float64, rate float64) (part pitchPart, ok bool) {
	step := max(int(pitchLevelSec*rate), 1)
	power := stepPowers(x, step)
	loudest := 0.0
	for i := range power {
		loudest = max(loudest, meanAround(power, i))
	}
	if loudest < 1e-14 {
		return part, false
	}
	first, last := -1, 0
	for i := range power {
		p := meanAround(power, i)
		if first < 0 && p > loudest*sound.DBToPower(-pitchOnsetDB) {
			first = i
		}
		if p > loudest*sound.DBToPower(-pitchEndDB) {
			last = i
		}
	}
	// A note over a steady noise ends where only the noise is left.
	noise := 0.0
	if first*step > int(pitchNoiseSec*rate) {
		for _, p := range power[:first-1] {
			noise += p / float64(first-1)
		}
	}
	for last > first && meanAround(power, last) < 1.6*noise {
		last--
	}
	part = pitchPart{begin: first * step, end: min((last+1)*step, len(x))}
	part.before = max(part.begin-2*step, 0)
	part.after = min(part.end+step, len(x))
	attack := int(pitchAttackSec * rate)
	if length := part.end - part.begin; length > 5*attack {
		part.begin += attack
	}
	if part.end-part.begin < int(0.02*rate) {
		return part, false
	}
	return part, true
}

func stepPowers(x []float64, step int) []float64 {
	n := max(len(x)/step, 1)
	power := make([]float64, n)
	for i := range power {
		part := x[i*step : min((i+1)*step, len(x))]
		for _, v := range part {
			power[i] += v * v
		}
		power[i] /= float64(len(part))
	}
	return power
}

// meanAround is the mean over 30 ms, so that single clicks and the waves of a bass do not count as the note.
func meanAround(power []float64, i int) float64 {
	lo, hi := max(i-1, 0), min(i+2, len(power))
	sum := 0.0
	for _, p := range power[lo:hi] {
		sum += p
	}
	return sum / float64(hi-lo)
}
