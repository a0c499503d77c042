// Checks that favoured takes lead longer.

package arrange

import "testing"

func TestFavouredPartsLeadLonger(t *testing.T) {
	const n, seconds = 5, 15.0
	leadsFor := func(favours []float64, seed uint64) (sec float64) {
		for _, l := range schedule(n, favours, seconds, 4, newChance(seed, forTurns, 0, 0)) {
			if l.part == 2 {
				sec += l.toSec - l.fromSec
			}
		}
		return sec
	}
	for seed := range uint64(20) {
		alike := leadsFor(nil, seed)
		more, less := leadsFor([]float64{1, 1, 2, 1, 1}, seed), leadsFor([]float64{1, 1, 0.5, 1, 1}, seed)
		if !(more > 1.4*alike && less < 0.7*alike && less > 0) {
			t.Errorf("seed %d: leads for %.2f, %.2f and %.2f s at half, one and two times", seed, less, alike, more)
		}
	}
}
