// From the ticks of a score to frames, exactly.

package engine

import (
	"fmt"
	"math"
	"math/bits"
)

// defaultTempo is what RP-001 gives a score that names none: 120 quarter notes a minute.
const defaultTempo = 500_000

// tempoChange sets the microseconds a quarter note lasts from a tick on.
type tempoChange struct {
	tick             int64
	microsPerQuarter uint64
}

// tickClock counts time as a whole number of units of 1/unitsPerSec s, of which a tick lasts a whole
// number too, so that nothing is rounded before a frame is asked for. For a metrical division a
// unit is a microsecond's share of a tick of a quarter note; for time code it is one tick, or,
// where 29 stands for 30000/1001 frames a second, a 1001st of one.
type tickClock struct {
	rateHz, unitsPerSec uint64
	metrical            bool
	unitsPerTick        uint64
	units               uint64 // up to tick
	tick                int64
	tempos              []tempoChange // those still ahead
}

// newTickClock starts at 0. The division is as the file's header has it and has been checked.
func newTickClock(division uint16, rateHz int) *tickClock {
	clock := &tickClock{rateHz: uint64(rateHz)}
	framesPerSec, ticksPerFrame := timeCode(division)
	switch {
	case framesPerSec == 0:
		clock.metrical = true
		clock.unitsPerSec = uint64(division) * 1_000_000
	case framesPerSec == 29:
		clock.unitsPerSec, clock.unitsPerTick = 30_000*uint64(ticksPerFrame), 1001
	default:
		clock.unitsPerSec, clock.unitsPerTick = uint64(framesPerSec)*uint64(ticksPerFrame), 1
	}
	return clock
}

// timeCode reads a division of time code: frames a second and ticks a frame. For a metrical
// division both are 0.
func timeCode(division uint16) (framesPerSec, ticksPerFrame int) {
	if division&0x8000 == 0 {
		return 0, 0
	}
	return -int(int8(division >> 8)), int(division & 0xFF)
}

// start counts ticks from 0 again, without going back in time. The tempo changes are in the order of
// their ticks; time code does not heed them.
func (c *tickClock) start(tempos []tempoChange) {
	c.tick = 0
	if c.metrical {
		c.unitsPerTick = defaultTempo
		c.tempos = tempos
	}
}

// frameAt is the frame nearest to a tick, which must not lie before one asked for earlier.
func (c *tickClock) frameAt(tick int64) (int64, error) {
	for ; len(c.tempos) > 0 && c.tempos[0].tick <= tick; c.tempos = c.tempos[1:] {
		if err := c.advance(c.tempos[0].tick); err != nil {
			return 0, err
		}
		c.unitsPerTick = c.tempos[0].microsPerQuarter
	}
	if err := c.advance(tick); err != nil {
		return 0, err
	}
	high, low := bits.Mul64(c.units, c.rateHz)
	low, carry := bits.Add64(low, c.unitsPerSec/2, 0)
	if high += carry; high >= c.unitsPerSec {
		return 0, c.tooLong()
	}
	frame, _ := bits.Div64(high, low, c.unitsPerSec)
	if frame > math.MaxInt64 {
		return 0, c.tooLong()
	}
	return int64(frame), nil
}

func (c *tickClock) advance(tick int64) error {
	overflow, passed := bits.Mul64(uint64(tick-c.tick), c.unitsPerTick)
	units, carry := bits.Add64(c.units, passed, 0)
	if overflow != 0 || carry != 0 {
		return c.tooLong()
	}
	c.units, c.tick = units, tick
	return nil
}

func (c *tickClock) tooLong() error {
	return fmt.Errorf("tick %d: found a time that can no longer be counted in frames, expected a score "+
		"of years at most; shorten the delta times that follow it", c.tick)
}
