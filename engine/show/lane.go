// Which bed leads when in each cycle of a chord.

package show

import "math"

// Lane is one sounding cycle of a chord and the beds that lead in it, one after the other without a gap.
type Lane struct {
	Cycle SoundingCycle
	Leads []Lead
}

// Lead is a stretch in which one bed leads, from the middle of the crossfade before it to the middle of the one after.
// Its times are seconds after the chord's start.
type Lead struct {
	FromSec, ToSec float64
	Strand         int // index into the map's strands
}

// Lanes lists a lane for each cycle of the chord, from its start to untilSec.
func (c *Chord) Lanes(untilSec float64) []Lane {
	lanes := make([]Lane, len(c.Cycles))
	for i, cycle := range c.Cycles {
		lanes[i] = Lane{cycle, cycle.leads(untilSec)}
	}
	return lanes
}

func (c *SoundingCycle) leads(untilSec float64) []Lead {
	var leads []Lead
	stretches := c.cycle.Stretches()
	startFrame := c.cycle.StartFrame(c.Start)
	for turn := int64(-1); ; turn++ { // the last crossfade of the turn before may still be under way
		for _, stretch := range stretches {
			offsetFrames := turn*c.cycle.Frames - startFrame
			fromSec := float64(stretch.From+offsetFrames) / c.framesPerSec
			toSec := float64(stretch.To+offsetFrames) / c.framesPerSec
			if math.Max(fromSec, 0) >= untilSec {
				return leads
			}
			if toSec > 0 {
				leads = append(leads, Lead{math.Max(fromSec, 0), math.Min(toSec, untilSec), stretch.Bed})
			}
		}
	}
}
