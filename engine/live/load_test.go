package live

import "testing"

func TestLoadPercentiles(t *testing.T) {
	var l load
	for range 998 {
		l.add(100_000, 1_000_000) // 10 %
	}
	l.add(700_000, 1_000_000)
	l.add(20_000_000, 1_000_000) // far too late
	for part, want := range map[float64]int{0.5: 11, 0.998: 11, 0.999: 71, 1: loadSteps + 1} {
		if got := l.percentile(part); got != want {
			t.Errorf("percentile %v: %d %%, expected %d", part, got, want)
		}
	}
	l.reset()
	l.add(0, 1)
	if got := l.percentile(1); got != 1 {
		t.Errorf("after a reset: %d %%, expected 1", got)
	}
}
