// What each part excites in the finished bed.

package arrange

import "lapstrake/mapping/hearing"

// courses measures the stems under their gains. What finish did to the level of their sum, it did to each of them:
// that is told by the powers of the bed's blocks before it.
func (a *arranger) courses(gains, before []float64, out *Arranged) []*hearing.Course {
	after := hearing.BlockPowers(out.Left, out.Right, a.rateHz)
	all, powerGains := make([]*hearing.Course, len(gains)), make([]float64, len(before))
	for i, gain := range gains {
		for block := range powerGains {
			powerGains[block] = 0
			if before[block] > 0 {
				powerGains[block] = gain * gain * after[block] / before[block]
			}
		}
		all[i] = a.measurer.Course(a.stems[i].left, a.stems[i].right, powerGains)
	}
	return all
}
