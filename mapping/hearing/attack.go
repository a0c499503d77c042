// How a note sets in.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	// of the level's course: a sound that is there at once is read as setting in within about 15 ms
	attackWindowSec = 0.025
	attackStepSec   = 0.001
	attackLevels    = 9 // tenths of the highest level: what lies above and below is not told well from chance
	// times the mean; with Peeters's 3, a sound that swells by 4 dB after its onset would set in slowly
	mostEffort = 1.5
)

// AttackSec is how long a note takes to set in, whose interleaved stereo frames begin where the key goes down and end
// where it is no longer heard as an onset, after a second or so; NaN: nothing sounds. Its decimal logarithm is the log
// attack time of Peeters (A large set of audio features for sound description, 2004, 6.1.1, from memory), found by the
// method of weakest effort: of the times from each tenth of the highest level to the next, up to the ninth, the first
// and the last that are no longer than 1.5 times their mean begin and end the attack. So neither a slow swell after a
// quick onset counts nor noise before it. The level is the RMS of both sides.
func AttackSec(frames []float32, rateHz int) float64 {
	level := attackCourse(frames, rateHz)
	highest := 0.0
	for _, v := range level {
		highest = max(highest, v)
	}
	if highest == 0 {
		return math.NaN()
	}
	var reached [attackLevels + 1]int // step at which the level first comes to so many tenths
	for tenth := 1; tenth <= attackLevels; tenth++ {
		at := reached[tenth-1]
		for level[at] < highest*float64(tenth)/10 {
			at++
		}
		reached[tenth] = at
	}
	most := mostEffort * float64(reached[attackLevels]-reached[1]) / (attackLevels - 1)
	from, to := 0, 0
	for tenth := 1; tenth < attackLevels; tenth++ {
		if float64(reached[tenth+1]-reached[tenth]) > most {
			continue
		}
		if from == 0 {
			from = tenth
		}
		to = tenth + 1
	}
	return float64(reached[to]-reached[from]) * attackStepSec
}

// attackCourse is the level of frames, a value each millisecond: RMS under a Hann window. Before the first frame there
// is silence.
func attackCourse(frames []float32, rateHz int) []float64 {
	size := int(attackWindowSec * float64(rateHz))
	window, whole := make([]float64, size), 0.0
	for i := range window {
		window[i] = sound.Hann(i, size)
		whole += window[i]
	}
	n := len(frames) / 2
	level := make([]float64, 0, int(float64(n)/float64(rateHz)/attackStepSec)+1)
	for k := 0; ; k++ {
		end := int(float64(k) * attackStepSec * float64(rateHz))
		if end > n {
			return level
		}
		sum := 0.0
		for i := max(end-size, 0); i < end; i++ {
			left, right := float64(frames[2*i]), float64(frames[2*i+1])
			sum += window[i-end+size] * (left*left + right*right)
		}
		level = append(level, math.Sqrt(sum/whole))
	}
}
