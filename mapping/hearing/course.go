// The course of a sound: what it excites, block by block, in little room.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	// BlockSec is how long a block of a course lasts.
	BlockSec = 0.25

	stepDB   = 0.5
	lowestDB = -120.5 // of step 0, which is silence
)

// Course is the excitation of a sound over its time, in blocks of BlockSec: for each block one step for each band, of
// 0.5 dB from −120 dB against full scale on; 0 is silence.
type Course struct {
	Steps []byte
}

// Blocks is how many there are.
func (c *Course) Blocks() int { return len(c.Steps) / Bands }

// stepPowers are what the steps stand for.
var stepPowers = func() (powers [256]float64) {
	for step := 1; step < len(powers); step++ {
		powers[step] = sound.DBToPower(lowestDB + stepDB*float64(step))
	}
	return powers
}()

// At is the excitation in a block, full scale being 1; silence outside of the course.
func (c *Course) At(block int) (e Excitation) {
	if block < 0 || block >= c.Blocks() {
		return e
	}
	for band, step := range c.Steps[block*Bands:][:Bands] {
		e[band] = stepPowers[step]
	}
	return e
}

// Mean is the excitation of all blocks, as the mean over them; silence where there are none.
func (c *Course) Mean() (mean Excitation) {
	for block := range c.Blocks() {
		e := c.At(block)
		for band, power := range &e {
			mean[band] += power / float64(c.Blocks())
		}
	}
	return mean
}

// Add appends a block.
func (c *Course) Add(e *Excitation) {
	for _, power := range e {
		step := 0.0
		if power > 0 {
			step = min(max(math.Round((sound.PowerDB(power)-lowestDB)/stepDB), 0), 255)
		}
		c.Steps = append(c.Steps, byte(step))
	}
}
