// The ticks of the axes that count something other than time.

package show

import (
	"math"
	"strconv"

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

// numberTicks marks round numbers: steps of 1, 2 or 5 times a power of ten, with a true minus sign.
type numberTicks struct{}

const mostSteps = 6 // of a plot's height

func (numberTicks) Ticks(low, high float64) (ticks []plot.Tick) {
	if !(high > low) {
		return nil
	}
	least := (high - low) / mostSteps
	decimals := int(math.Ceil(-math.Log10(least)))
	step := math.Pow(10, -float64(decimals)) // at most least, and more than a tenth of it
	switch {
	case step >= least:
	case 2*step >= least:
		step *= 2
	case 5*step >= least:
		step *= 5
	default:
		step, decimals = 10*step, decimals-1
	}
	for i := math.Ceil(low / step); i*step <= high; i++ {
		label := strconv.FormatFloat(math.Abs(i*step), 'f', max(decimals, 0), 64)
		if i < 0 {
			label = "\u2212" + label
		}
		ticks = append(ticks, plot.Tick{Value: i * step, Label: label})
	}
	return ticks
}

// valueTicks marks the ends and the middle of a controller's range.
type valueTicks struct{}

func (valueTicks) Ticks(float64, float64) []plot.Tick {
	return []plot.Tick{{Value: 0, Label: "0"}, {Value: 64, Label: "64"}, {Value: 127, Label: "127"}}
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
