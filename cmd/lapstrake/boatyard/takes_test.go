// What each neighbour's take must be: in tune, clean, the same each time, and heard at every root.
package boatyard

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"
)

const testRateHz = 24000

// pitched are the makers whose tuning can be checked.
func pitched() []Maker {
	return slices.DeleteFunc(Makers(), func(m Maker) bool { return m.Kind == Noisy })
}

// centsOff measures, by power, the mean distance of a take's fundamental (or root mode) from the equal-tempered key
// (ISO 16: key 69 = 440 Hz), leaving out attack and release. The take is turned down by the key's frequency and
// summed over ten periods at a time, which leaves a band of ±86 cents and cancels every other harmonic; the mean
// turn from one sum to the next is the deviation.
func centsOff(take []float32, key int, rateHz, fromSec, toSec float64) float64 {
	hz := 440 * math.Pow(2, float64(key-69)/12)
	step := cmplx.Exp(complex(0, -2*math.Pi*hz/rateHz))
	pointer, sum := complex(1, 0), complex(0, 0)
	block := int(math.Round(10 * rateHz / hz))
	var last, turn complex128
	for i := int(fromSec * rateHz); i < int(toSec*rateHz); i++ {
		sum += pointer * complex(float64(take[2*i])+float64(take[2*i+1]), 0)
		pointer *= step
		if (i+1-int(fromSec*rateHz))%block == 0 {
			turn += sum * cmplx.Conj(last)
			last, sum = sum, 0
		}
	}
	return 1200 * math.Log2(1+cmplx.Phase(turn)/(2*math.Pi)*rateHz/float64(block)/hz)
}

func TestEveryPitchedMakerIsInTune(t *testing.T) {
	for _, m := range pitched() {
		var sum, worst float64
		count := 0
		for _, key := range []int{30, 47, 60, 81, 102} {
			for seed := range uint64(3) {
				take := m.Take(key, 5, testRateHz, seed)
				from := m.tape.leadSec + 0.8
				if m.Kind == Struck {
					from = m.tape.leadSec + 0.02
				}
				off := centsOff(take, key, testRateHz, from, 4.5)
				sum += off
				worst = max(worst, math.Abs(off))
				count++
			}
		}
		t.Logf("%-40s mean %+.2f worst %.2f cents", m.Title, sum/float64(count), worst)
	}
}
