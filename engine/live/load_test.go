package live

import "testing"

func TestLoadPercentiles(t *testing.T) {
	var l load
	if median, worst := l.lately(); median != 0 || worst != 0 {
		t.Errorf("before the first block: %d and %d %%, expected 0", median, worst)
	}
	for range 998 {
		l.add(100_000, 1_000_000) // 10 %
	}
	l.add(700_000, 1_000_000)
	l.add(20_000_000, 1_000_000) // far too late
	for part, want := range map[float64]int{0.5: 11, 0.998: 11, 0.999: 71, 1: loadSteps + 1} {
		if got := l.whole.percentile(part); got != want {
			t.Errorf("percentile %v: %d %%, expected %d", part, got, want)
		}
	}
	l.whole.reset()
	l.add(0, 1)
	if got := l.whole.percentile(1); got != 1 {
		t.Errorf("after a reset: %d %%, expected 1", got)
	}
}

// An hour of ease does not hide five seconds of trouble, nor does one bad block count for longer than those.
func TestLoadOfTheLastSeconds(t *testing.T) {
	var l load
	play := func(blocks int, percent int64) {
		for range blocks {
			l.add(percent*10_000, 1_000_000)
		}
	}
	require := func(when string, median, worst int) {
		t.Helper()
		if gotMedian, gotWorst := l.lately(); gotMedian != median || gotWorst != worst {
			t.Errorf("%s: median %d %%, worst %d %%, expected %d and %d", when, gotMedian, gotWorst, median, worst)
		}
	}
	play(3_600_000, 5)
	require("an hour at 5 %", 6, 6)
	play(1, 300)
	require("one bad block", 6, 301)
	play(1000*recentSeconds, 40)
	require("five seconds later", 41, 41)
	play(1000*recentSeconds, 5)
	require("ten seconds later", 6, 6)
	if got := l.whole.percentile(1); got != 301 {
		t.Errorf("since the start the worst is %d %%, expected 301", got)
	}
}
