package boatyard

import (
	"fmt"
	"math"
	"os"
	"testing"
)

func peakSec(take []float32, rate float64) float64 {
	at, top := 0, 0.0
	for i := range len(take) / 2 {
		if v := math.Abs(float64(take[2*i])); v > top {
			at, top = i, v
		}
	}
	return float64(at) / rate
}
func TestProbeWood(t *testing.T) {
	if os.Getenv("PROBE") != "wood" {
		return
	}
	for _, m := range pitched() {
		fmt.Printf("%-40s", m.Title)
		for _, key := range []int{24, 30, 36, 42, 47, 60, 72, 81, 102, 114} {
			s := 0.0
			for seed := range uint64(3) {
				take := m.Take(key, 5, testRateHz, seed)
				from := m.tape.leadSec + 0.8
				if m.Kind == Struck {
					from = peakSec(take, testRateHz) + .003
				}
				s += centsOff(take, key, testRateHz, from, 4.5) / 3
			}
			fmt.Printf(" %d:%+.2f", key, s)
		}
		fmt.Println()
	}
}
