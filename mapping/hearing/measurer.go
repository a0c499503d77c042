// From samples to courses.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

// spectrumSec is how long the stretch in the middle of each block is that stands for all of it.
const spectrumSec = 0.085

// Measurer measures courses at one rate. It serves one goroutine at a time.
type Measurer struct {
	rateHz   int
	spectrum *sound.Spectrum
	bands    []int // by bin
}

// NewMeasurer makes one for sounds of rateHz frames a second.
func NewMeasurer(rateHz int) *Measurer {
	m := &Measurer{rateHz: rateHz, spectrum: sound.NewSpectrum(sound.PowerOfTwo(spectrumSec, rateHz))}
	m.bands = make([]int, len(m.spectrum.Power))
	for bin := range m.bands {
		m.bands[bin] = bandOf(float64(bin) * float64(rateHz) / float64(m.spectrum.SizeFrames))
	}
	return m
}

// blockFrame is the first frame of a block.
func blockFrame(block, rateHz int) int {
	return int(math.Round(float64(block) * BlockSec * float64(rateHz)))
}

// Blocks is how many a sound of so many frames has; the last may be cut short.
func Blocks(frames, rateHz int) (blocks int) {
	for blockFrame(blocks, rateHz) < frames {
		blocks++
	}
	return blocks
}

// BlockPowers is the mean square of each block of two channels alike long, both summed.
func BlockPowers(left, right []float32, rateHz int) []float64 {
	powers := make([]float64, Blocks(len(left), rateHz))
	for block := range powers {
		from, to := blockFrame(block, rateHz), min(blockFrame(block+1, rateHz), len(left))
		powers[block] = sound.MeanSquare(left[from:to]) + sound.MeanSquare(right[from:to])
	}
	return powers
}

// Course is what two channels alike long excite together. The power of each block is multiplied by its gain; nil
// leaves all as they are.
func (m *Measurer) Course(left, right []float32, powerGains []float64) *Course {
	blocks := Blocks(len(left), m.rateHz)
	c := &Course{Steps: make([]byte, 0, blocks*Bands)}
	for block := range blocks {
		var e Excitation
		gain := 1.0
		if powerGains != nil {
			gain = powerGains[block]
		}
		centre := (blockFrame(block, m.rateHz) + blockFrame(block+1, m.rateHz)) / 2
		m.look(&e, left, centre, gain)
		m.look(&e, right, centre, gain)
		c.Add(&e)
	}
	return c
}

// look adds the powers around a frame.
func (m *Measurer) look(e *Excitation, channel []float32, centre int, gain float64) {
	for bin, power := range m.spectrum.At(channel, centre) {
		if band := m.bands[bin]; band >= 0 {
			e[band] += gain * power
		}
	}
}
