package show

import "testing"

// Axes count in round times, and say what they count.
func TestTimeAxis(t *testing.T) {
	for _, want := range []struct {
		endSec              float64
		second, last, label string
	}{
		{0.85, "0.1", "0.8", "time (seconds)"},
		{24, "5", "20", "time (seconds)"},
		{64, "10", "60", "time (seconds)"},
		{124, "0:20", "2:00", "time (minutes:seconds)"},
		{3600, "10:00", "60:00", "time (minutes:seconds)"},
		{24 * 3600, "4:00", "24:00", "time (hours:minutes)"},
	} {
		ticks := timeTicks{}.Ticks(0, want.endSec)
		second, last := ticks[1].Label, ticks[len(ticks)-1].Label
		if second != want.second || last != want.last || timeLabel(want.endSec) != want.label ||
			ticks[0].Label[0] != '0' {
			t.Errorf("%v s: second tick %q, last %q, %q, want %+v", want.endSec, second, last,
				timeLabel(want.endSec), want)
		}
	}
}
