// The delay: how much later than it arrives an event is heard, so that all are late alike.

package live

import (
	"math"

	"lapstrake/engine"
)

const (
	// leastMarginNs is how early a block may be asked for at any time. On an idle machine 99 of
	// 100 callbacks come within 0.1 ms of their time.
	leastMarginNs = 0.25e6
	// A margin that has grown with a block that came early shrinks again with this time constant,
	// far too slowly to be heard in the spacing of notes.
	marginDecaySec = 30
	// The first blocks on a line say where it is, not how far off it blocks are.
	settlingBlocks = 16
	// A server may be told to ask for shorter blocks: what has not come for one to two such times is forgotten.
	blockMemoryNs = 5e9
	// The delay gives way so slowly, in parts of the time that passes, that notes keep their spacing.
	shrinking = 1.0 / 20
)

// delay is the distance from an event's arrival to its frame. An event that arrives right after a
// block was asked for is handed over with the next one: it has to wait for the longest block, for
// the cell that this one may have begun (asked for one frame of a cell, the engine renders
// it all), and for the margin by which the next may come early.
type delay struct {
	recent, before blockForms // of the last blocks, and of those before them
	recentNs       float64    // that recent spans so far
	marginNs       float64
	blocksFrames   float64 // the delay without its margin
	shrunkFrames   float64 // since the block before
}

// blockForms is what some blocks have in common.
type blockForms struct {
	longest int
	step    int // greatest common divisor of where they begin and of engine.CellFrames
}

var noBlocks = blockForms{step: engine.CellFrames}

func newDelay() delay { return delay{recent: noBlocks, before: noBlocks, marginNs: leastMarginNs} }

// begin takes note of a block that line has just been fed with.
func (d *delay) begin(line *timeline) {
	lengthNs := float64(line.frames) * line.frameNs
	if d.recentNs += lengthNs; d.recentNs > blockMemoryNs {
		d.before, d.recent, d.recentNs = d.recent, noBlocks, lengthNs
	}
	d.recent.longest = max(d.recent.longest, line.frames)
	d.recent.step = commonDivisor(commonDivisor(d.recent.step, int(line.blockFrame%engine.CellFrames)),
		line.frames%engine.CellFrames)
	d.marginNs = max(leastMarginNs, d.marginNs*math.Exp(-lengthNs/1e9/marginDecaySec))
	if line.settled >= settlingBlocks {
		d.marginNs = max(d.marginNs, line.earlyNs)
	}
	longest, step := max(d.recent.longest, d.before.longest), commonDivisor(d.recent.step, d.before.step)
	kept := d.blocksFrames - shrinking*float64(line.frames)
	kept = max(kept, float64(longest+engine.CellFrames-step))
	d.shrunkFrames, d.blocksFrames = d.blocksFrames-kept, kept
}

// frames is the delay in frames.
func (d *delay) frames(line *timeline) float64 {
	return d.blocksFrames + d.marginNs/line.nominalNs
}

func commonDivisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
