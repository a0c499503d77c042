package mapping

import "math"

// CycleLength is the length of an endless loop: the beds of one layer on one root,
// joined by crossfades at every join, the last into the first.
type CycleLength struct {
	Frames int64 // at its own rate
	RateHz int
}

// OneFrame is one frame in 32.32 fixed point, the player's unit of position.
const OneFrame = 1 << 32

// CycleFrames returns how many frames a cycle of beds has: the sum of the beds
// less one overlap for each, so n(L−X) for n beds of L frames.
func CycleFrames(bedFrames []int64, overlapFrames int64) int64 {
	var sum int64
	for _, frames := range bedFrames {
		sum += frames - overlapFrames
	}
	return sum
}

// StartFrame returns the frame of the cycle at which a start in turns lies.
func (c CycleLength) StartFrame(start float64) int64 {
	return int64(math.Round(start*float64(c.Frames))) % c.Frames
}

// Step returns how far the cycle advances for each frame of output at outRateHz
// when root's cycle is played shiftSemitones higher, as 32.32 fixed point.
func (c CycleLength) Step(shiftSemitones float64, outRateHz int) uint64 {
	ratio := float64(c.RateHz) / float64(outRateHz) * math.Exp2(shiftSemitones/12)
	return uint64(math.Round(ratio * OneFrame))
}

// Seconds returns how long one turn lasts when it is played shiftSemitones higher.
func (c CycleLength) Seconds(shiftSemitones float64) float64 {
	return float64(c.Frames) / float64(c.RateHz) * math.Exp2(-shiftSemitones/12)
}

// TurnSeconds returns how long one turn lasts at a step, as the player plays it.
func (c CycleLength) TurnSeconds(step uint64, outRateHz int) float64 {
	return float64(c.Frames) * OneFrame / float64(step) / float64(outRateHz)
}
