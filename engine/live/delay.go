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
)

// delay is the distance from an event's arrival to its frame. An event that arrives right after a
// block was asked for is handed over with the next one: it has to wait for the longest block, for
// the cell that this one may have begun (asked for one frame of a cell, the engine renders
// it all), and for the margin by which the next may come early.
type delay struct {
	longest  int // longest block so far
	step     int // greatest common divisor of where blocks begin and of engine.CellFrames
	marginNs float64
}

func newDelay() delay { return delay{step: engine.CellFrames, marginNs: leastMarginNs} }

// begin takes note of a block that line has just been fed with.
func (d *delay) begin(line *timeline) {
	d.longest = max(d.longest, line.frames)
	d.step = commonDivisor(commonDivisor(d.step, int(line.blockFrame%engine.CellFrames)), line.frames%engine.CellFrames)
	lengthNs := float64(line.frames) * line.frameNs
	d.marginNs = max(leastMarginNs, d.marginNs*math.Exp(-lengthNs/1e9/marginDecaySec))
	if line.settled >= settlingBlocks {
		d.marginNs = max(d.marginNs, line.earlyNs)
	}
}

// frames is the delay in frames.
func (d *delay) frames(line *timeline) float64 {
	return float64(d.longest+engine.CellFrames-d.step) + d.marginNs/line.nominalNs
}

func commonDivisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
