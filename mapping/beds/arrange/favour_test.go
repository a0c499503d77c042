// Checks that favoured takes lead longer.

package arrange

import "testing"

func TestFavouredPartsLeadLonger(t *testing.T) {
	const n, seconds = 5, 15.0
	leads := func(favours []float64, seed uint64) (first, whole float64) {
		for _, turn := range drawTurns(n, favours, seconds, 4, 1.5, newChance(seed, forTurns, 0, 0)) {
			for sec := 0.0; sec < seconds; sec += 0.01 {
				if sec >= turn.fromSec && sec < turn.toSec {
					whole += 0.01 * turn.weight(sec)
					if turn.part == 2 {
						first += 0.01 * turn.weight(sec)
					}
				}
			}
		}
		return first, whole
	}
	for seed := range uint64(20) {
		alike, whole := leads(nil, seed)
		more, wholeMore := leads([]float64{1, 1, 2, 1, 1}, seed)
		less, _ := leads([]float64{1, 1, 0.5, 1, 1}, seed)
		if !(more > 1.1*alike && less < 0.95*alike && less > 0) {
			t.Errorf("seed %d: leads for %.2f, %.2f and %.2f s at half, one and two times", seed, less, alike, more)
		}
		if d := whole - wholeMore; d > 0.3 || d < -0.3 {
			t.Errorf("seed %d: two lead at any moment: %.1f s in all, %.1f s with favours", seed, whole, wholeMore)
		}
	}
}
