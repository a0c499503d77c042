// Clipping: runs of samples held at a channel's highest or lowest value.

package measure

import (
	"math"
	"slices"
)

const (
	clippedRun     = 3   // samples that stand still before it is called clipping
	clippedLeast   = 0.1 // of full scale: below that, samples stand still because they are coarse
	clippedShallow = 16  // how much deeper the flank is looked at, in tolerances
)

// tolerance is how far samples of so many bits may differ and still be the same value: half a step of the stored
// numbers.
func tolerance(bits int) float32 {
	if bits == 0 || bits > 16 {
		bits = 16 // lossy decoders clip 16-bit numbers; finer ones are often clipped and then dithered or turned down
	}
	return float32(math.Ldexp(1, -bits))
}

// clipping counts, block by block, what is held at the highest and at the lowest value of each channel.
type clipping struct{ channels [][2]heldRuns }

// clipping is ready to hear the same channels once more, from their beginning.
func (l *levels) clipping(tolerance float32) *clipping {
	c := &clipping{channels: make([][2]heldRuns, len(l.channels))}
	for i, of := range l.channels {
		c.channels[i] = [2]heldRuns{newHeldRuns(+1, of.highest, tolerance), newHeldRuns(-1, -of.lowest, tolerance)}
	}
	return c
}

func (c *clipping) add(block [][]float32) {
	for i, channel := range block {
		for side := range c.channels[i] {
			c.channels[i][side].add(channel)
		}
	}
}

func (c *clipping) fill(m *Measures, rateHz int) {
	m.ClippedRuns, m.ClippedMs = 0, 0
	for i := range c.channels {
		samples := 0
		for side := range c.channels[i] {
			held := &c.channels[i][side]
			held.leave()
			m.ClippedRuns += held.runs
			samples += held.samples
		}
		m.ClippedMs = max(m.ClippedMs, 1000*float64(samples)/float64(rateHz))
	}
}

// heldRuns counts the runs held at the highest value of a channel, or with sign −1 at its lowest, and the samples in
// them. A run counts when the waveform arrives and leaves steeply: the round top of a low note also stands still, but
// a parabola is four times wider at sixteen times the depth, and a cut one is not even twice as wide.
type heldRuns struct {
	sign, at, depth float32
	deaf            bool // the channel is too soft to tell
	runs, samples   int

	width int   // samples so far for which the channel has not been under the depth
	run   int   // samples so far that it is at its highest
	steep []int // runs of this width so far that are not too short for it yet
}

func newHeldRuns(sign, top, tolerance float32) heldRuns {
	return heldRuns{sign: sign, at: top - tolerance, depth: top - clippedShallow*tolerance,
		deaf: top < max(clippedLeast, 32*tolerance)}
}

func (h *heldRuns) add(channel []float32) {
	if h.deaf {
		return
	}
	for _, x := range channel {
		x *= h.sign
		if x < h.depth {
			if h.width > 0 {
				h.leave()
			}
			continue
		}
		h.width++
		if x >= h.at {
			h.run++
		} else if h.run > 0 {
			h.endRun()
		}
	}
}

func (h *heldRuns) endRun() {
	h.steep = slices.DeleteFunc(h.steep, h.isShallow)
	if h.run >= clippedRun && !h.isShallow(h.run) {
		h.steep = append(h.steep, h.run)
	}
	h.run = 0
}

// isShallow says whether the waveform is so wide around a run that it may be a round top.
func (h *heldRuns) isShallow(run int) bool { return h.width >= 2*run+2 }

// leave counts the runs of a width that has come to its end.
func (h *heldRuns) leave() {
	h.endRun()
	for _, run := range h.steep {
		if !h.isShallow(run) {
			h.runs++
			h.samples += run
		}
	}
	h.width, h.steep = 0, h.steep[:0]
}
