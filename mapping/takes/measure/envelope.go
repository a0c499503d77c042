// How the level of a take moves: attack, decay, steadiness.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	attackBlockSec  = 0.0025
	attackSmoothSec = 0.010 // longer than the waves of all but the lowest notes
	attackTopDB     = 3
	courseBlockSec  = 0.05
	courseLeast     = 4  // blocks that a fall can be told from
	courseDepthDB   = 50 // how deep under the highest level the fall is followed
)

// measureEnvelope fills in attack, decay and steadiness. The attack's highest level is that of the first 1.5 s. The
// fall is the slope of the line that best fits the level in decibels (least squares) from the highest level on, over
// two thirds of what follows, to 50 dB under it or 6 dB above the noise; steadiness is the root mean square of what is
// left.
func measureEnvelope(samples []float32, rateHz, onset, end int, m *Measures) {
	m.AttackSec = attackSec(samples, rateHz, onset, end)
	block := max(1, int(courseBlockSec*float64(rateHz)))
	var course []float64
	for at := onset; at+block <= end; at += block {
		course = append(course, sound.PowerDB(sound.MeanSquare(samples[at:at+block])+1e-20))
	}
	if len(course) < courseLeast {
		return
	}
	top := slices.Index(course, slices.Max(course))
	held := len(course) - top
	// A sound that still rises in its second half is followed from its attack on.
	if held < courseLeast || top > len(course)/2 {
		top = min(len(course)-courseLeast, int(m.AttackSec/courseBlockSec)+1)
	}
	course = course[top:]
	course = course[:max(courseLeast, len(course)*2/3)] // held sounds are let go in the last third
	lowest := slices.Max(course) - courseDepthDB
	if !math.IsNaN(m.NoiseFloorDBFS) {
		lowest = max(lowest, m.NoiseFloorDBFS+6)
	}
	length := len(course)
	for length > courseLeast && course[length-1] < lowest {
		length--
	}
	slope, rest := fitLine(course[:length])
	m.DecayDBPerS = -slope / courseBlockSec
	m.SteadinessDB = rest
}

// attackSec is the time from the onset to where the level first comes within 3 dB of the highest of the attack.
func attackSec(samples []float32, rateHz, onset, end int) float64 {
	block := max(1, int(math.Round(attackBlockSec*float64(rateHz))))
	reach := max(block, int(attackSmoothSec*float64(rateHz)))
	end = min(end, onset+int(attackSpanSec*float64(rateHz)))
	var levels []float64
	for at := onset; at < end; at += block {
		from, to := max(onset, at-reach/2), min(end, at+reach/2+1)
		levels = append(levels, sound.MeanSquare(samples[from:to]))
	}
	threshold := slices.Max(levels) * sound.DBToPower(-attackTopDB)
	first := slices.IndexFunc(levels, func(level float64) bool { return level >= threshold })
	return float64(first*block) / float64(rateHz)
}

// fitLine gives the slope, a step, of the line of least squares through evenly spaced values, and the root mean square
// of their distances from it.
func fitLine(values []float64) (slope, rest float64) {
	n := float64(len(values))
	middle, average := (n-1)/2, mean(values)
	var xy, xx float64
	for i, v := range values {
		x := float64(i) - middle
		xy += x * (v - average)
		xx += x * x
	}
	slope = xy / xx
	squares := 0.0
	for i, v := range values {
		d := v - average - slope*(float64(i)-middle)
		squares += d * d
	}
	return slope, math.Sqrt(squares / n)
}
