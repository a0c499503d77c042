// The ticks of the axes that count something other than time.

package show

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"

	"lapstrake/mapping"
)

// Axis is what the axis below a plot counts.
type Axis int

// The axes. Keys count as MIDI keys and show their names; Controller counts 0 to 127; Time counts seconds.
const (
	Numbers Axis = iota
	Keys
	Controller
	Time
)

func (a Axis) ticks(naming mapping.Naming) plot.Ticker {
	return map[Axis]plot.Ticker{
		Numbers: numberTicks{}, Keys: keyTicks{naming}, Controller: controllerTicks{}, Time: timeTicks{},
	}[a]
}

// numberTicks marks round numbers, with a true minus sign.
type numberTicks struct{}

func (numberTicks) Ticks(low, high float64) []plot.Tick {
	ticks := plot.DefaultTicks{}.Ticks(low, high)
	trimZeros(ticks)
	for i := range ticks {
		ticks[i].Label = strings.Replace(ticks[i].Label, "-", "\u2212", 1)
	}
	return ticks
}

// valueTicks marks the ends and the middle of a controller's range.
type valueTicks struct{}

func (valueTicks) Ticks(float64, float64) []plot.Tick {
	return []plot.Tick{{Value: 0, Label: "0"}, {Value: 64, Label: "64"}, {Value: 127, Label: "127"}}
}

// trimZeros takes off the decimals that are 0 in all labels.
func trimZeros(ticks []plot.Tick) {
	endsAlike := func(end string) bool {
		for _, tick := range ticks {
			if tick.Label != "" && !(strings.Contains(tick.Label, ".") && strings.HasSuffix(tick.Label, end)) {
				return false
			}
		}
		return true
	}
	for _, end := range []string{"0", "0", "0", "0", "."} {
		if !endsAlike(end) {
			continue
		}
		for i := range ticks {
			ticks[i].Label = strings.TrimSuffix(ticks[i].Label, end)
		}
	}
}

// keyTicks marks the Cs of a keyboard by their names, and the F sharps between them.
type keyTicks struct{ naming mapping.Naming }

func (k keyTicks) Ticks(low, high float64) (ticks []plot.Tick) {
	for key := int(math.Ceil(low)); float64(key) <= high; key++ {
		switch {
		case key%12 == 0:
			ticks = append(ticks, plot.Tick{Value: float64(key), Label: k.naming.Name(key)})
		case key%12 == 6:
			ticks = append(ticks, plot.Tick{Value: float64(key)})
		}
	}
	return ticks
}

// controllerTicks marks the eighths of a controller's range, and its end.
type controllerTicks struct{}

func (controllerTicks) Ticks(_, high float64) (ticks []plot.Tick) {
	for value := 0; value < 120 && float64(value) <= high; value += 16 {
		ticks = append(ticks, plot.Tick{Value: float64(value), Label: strconv.Itoa(value)})
	}
	if high >= 127 {
		ticks = append(ticks, plot.Tick{Value: 127, Label: "127"})
	}
	return ticks
}
