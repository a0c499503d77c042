// The ticks of a time axis: at round times, as clocks show them.

package show

import (
	"fmt"

	"gonum.org/v1/plot"
)

// timeTicks marks round times from 0 on. It serves as a plot.Ticker.
type timeTicks struct{}

// roundSec are the times between two ticks that a reader adds up easily.
var roundSec = []float64{0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 2 * 3600, 4 * 3600}

const mostTimeTicks = 10

// Ticks returns at most mostTimeTicks ticks between two times in seconds, for as long as 40 hours.
func (timeTicks) Ticks(fromSec, toSec float64) []plot.Tick {
	step := roundSec[len(roundSec)-1]
	for _, sec := range roundSec {
		if (toSec-fromSec)/sec < mostTimeTicks {
			step = sec
			break
		}
	}
	var ticks []plot.Tick
	for i := 0; float64(i)*step <= toSec; i++ {
		ticks = append(ticks, plot.Tick{Value: float64(i) * step, Label: timeText(float64(i)*step, toSec)})
	}
	return ticks
}

// The longest times whose axis counts in seconds, and in minutes and seconds.
const (
	mostSec    = 120
	mostMinSec = 2 * 3600
)

// timeText writes a time on an axis that ends at endSec.
func timeText(sec, endSec float64) string {
	switch whole := int(sec); {
	case endSec <= mostSec:
		return fmt.Sprintf("%.4g", sec)
	case endSec <= mostMinSec:
		return fmt.Sprintf("%d:%02d", whole/60, whole%60)
	default:
		return fmt.Sprintf("%d:%02d", whole/3600, whole/60%60)
	}
}

// timeLabel says what the numbers of an axis that ends at endSec count.
func timeLabel(endSec float64) string {
	switch {
	case endSec <= mostSec:
		return "time (seconds)"
	case endSec <= mostMinSec:
		return "time (minutes:seconds)"
	default:
		return "time (hours:minutes)"
	}
}
