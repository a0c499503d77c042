// What lies above the rumble of rooms, stands and wind, whose thumps are no sounds of a take.

package measure

import "math"

const rumbleTopHz = 60 // common practice for a high-pass against rumble

// aboveRumble is two high-passes of first order, one behind the other: 25 Hz is 17 dB weaker behind them.
type aboveRumble struct {
	share float64 // of the way that a low-pass goes in a sample
	low   [2]float64
	begun bool
}

func newAboveRumble(rateHz int) *aboveRumble {
	return &aboveRumble{share: 1 - math.Exp(-2*math.Pi*rumbleTopHz/float64(rateHz))}
}

// next is the next sample without what lies lower. The first one is taken for what has been there before.
func (a *aboveRumble) next(x float64) float64 {
	if !a.begun {
		a.begun, a.low[0] = true, x
	}
	for i := range a.low {
		a.low[i] += a.share * (x - a.low[i])
		x -= a.low[i]
	}
	return x
}
