// Distances of timbre that follow from how the beds were made.

package check_test

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Noise of strand b has some bands 12 dB stronger than that of strand a, which takes up a share p of all mel bands:
// the root of the mean square of what differs, less its mean, is 12·√(p(1−p)). Noise that stands still differs from
// itself by the chance of a second's mean alone. The scale is O'Shaughnessy's (1987), 64 bands from 30 Hz to 18 kHz.
func TestDistanceOfStrandsIsKnown(t *testing.T) {
	const fromHz, toHz, strongerDB = 500, 1500, 12
	y := stillYard(41)
	random := rand.New(rand.NewPCG(41, 1))
	for _, name := range y.names() {
		y.beds[name] = noise(random, livingBedSec)
		if name.Strand == "b" {
			shapeBand(y.beds[name], fromHz, toHz, func(float64) float64 { return strongerDB })
		}
		level(y.beds[name], -20)
	}
	mel := func(hz float64) float64 { return 2595 * math.Log10(1+hz/700) }
	p := (mel(toHz) - mel(fromHz)) / (mel(yardRateHz/2) - mel(30)) // above half the rate nothing sounds
	report := y.check(t, "evolution")
	for _, layer := range []string{"soft", "loud"} {
		within := figures(report, layer+" beds: distance of timbre within a bed, median")[0]
		apart := figures(report, layer+" beds: distance of timbre from strand to strand, median")[0]
		want := strongerDB * math.Sqrt(p*(1-p))
		t.Logf("%s: %.2f dB within, %.2f dB apart, %.2f foretold", layer, within, apart, want)
		if within > 1 || math.Abs(apart-want) > 0.5 {
			t.Errorf("%s: %.2f dB within a bed that stands still, %.2f from strand to strand; want under 1, and %.2f",
				layer, within, apart, want)
		}
	}
}
