package show

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A plot of any range has a few round numbers beside it, all different, within the range.
func TestNumberTicks(t *testing.T) {
	for want, bounds := range map[string][2]float64{
		"0 10 20 30 40 50": {-2, 54}, "\u22121.0 \u22120.5 0.0 0.5 1.0": {-1.4, 1.2},
		"0.0 0.2 0.4 0.6 0.8": {-0.05, 0.82}, "600 800 1000": {590, 1199}, "0 1 2 3": {-0.3, 3.3},
		"\u221225 \u221220 \u221215": {-28, -14},
	} {
		var labels []string
		for _, tick := range (numberTicks{}).Ticks(bounds[0], bounds[1]) {
			labels = append(labels, tick.Label)
		}
		if got := strings.Join(labels, " "); got != want {
			t.Errorf("%v: %s, want %s", bounds, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e4, 1e4).Draw(t, "low")
		high := low + math.Pow(10, rapid.Float64Range(-3, 4).Draw(t, "range"))
		ticks := (numberTicks{}).Ticks(low, high)
		var labels []string
		for _, tick := range ticks {
			if tick.Value < low-1e-9 || tick.Value > high+1e-9 {
				t.Fatalf("%v lies outside %v to %v", tick.Value, low, high)
			}
			labels = append(labels, tick.Label)
		}
		slices.Sort(labels)
		if n := len(slices.Compact(labels)); n != len(ticks) || n < 2 || n > 9 {
			t.Fatalf("%d labels of %d ticks: %v", n, len(ticks), labels)
		}
	})
}
