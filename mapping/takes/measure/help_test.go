// What the measures' tests share: sounds whose measures are known because they are made here, and recordings.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

// withoutPitch measures all but pitch and kind, which is twice as quick.
func withoutPitch(s *decode.Sound) Measures {
	m, _ := measureSound(s)
	return m
}

// rmsDB is the level, RMS, of samples.
func rmsDB(samples []float32) float64 { return sound.PowerDB(sound.MeanSquare(samples)) }

// cleanStart is where a recording without noise begins: where the level of 4 ms first comes within so many decibels of
// the highest of the first 1.5 s.
func cleanStart(samples []float32, rateHz int, underDB float64) int {
	threshold := highestAttackDB(samples, rateHz) - underDB
	for i := 0; i < len(samples); i += rateHz / 2000 {
		if levelAround(samples, rateHz, i) >= threshold {
			return i
		}
	}
	return len(samples)
}

func highestAttackDB(samples []float32, rateHz int) float64 {
	highest := math.Inf(-1)
	for i := 0; i < min(len(samples), 3*rateHz/2); i += rateHz / 1000 {
		highest = max(highest, levelAround(samples, rateHz, i))
	}
	return highest
}

func levelAround(samples []float32, rateHz, at int) float64 {
	return rmsDB(samples[max(0, at-rateHz/500):min(len(samples), at+rateHz/500)])
}
