// The plot of the level over time.

package show

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// shownDB is how far below the loudest peak the plot reaches.
const shownDB = 60

const levelHeight = vg.Length(150)

// mostLevels is how many levels the plot shows at most: as many as there are pixels for, about.
const mostLevels = 1200

func levelPanel(l *Levels) (panel, error) {
	tenths := levelTenths(l.Seconds())
	p := newPanel("Level in dBFS, "+everyText(tenths), levelHeight, timeTicks{}, timeLabel(l.Seconds()))
	var peaks, means plotter.XYs
	stretchSec := float64(tenths) / cellsPerSec
	for i, level := range l.Each(tenths) {
		middleSec := min((float64(i)+0.5)*stretchSec, l.Seconds())
		peaks = append(peaks, plotter.XY{X: middleSec, Y: level.PeakDBFS})
		means = append(means, plotter.XY{X: middleSec, Y: level.RMSDBFS})
	}
	peak, err := plotter.NewLine(peaks)
	if err != nil {
		return p, err
	}
	rms, err := plotter.NewLine(means)
	if err != nil {
		return p, err
	}
	peak.LineStyle = draw.LineStyle{Color: peakInk.Light, Width: vg.Points(0.8)}
	rms.LineStyle = draw.LineStyle{Color: lineInk[0].Light, Width: vg.Points(1.4)}
	p.plot.Add(peak, rms)
	p.plot.X.Min, p.plot.X.Max = 0, l.Seconds()
	p.plot.Y.Max = min(0, l.Whole().PeakDBFS+3)
	p.plot.Y.Min = p.plot.Y.Max - shownDB
	p.plot.Y.Tick.Marker = levelTicks{}
	p.legend = []legendEntry{{name: "peak", style: peak.LineStyle}, {name: "RMS", style: rms.LineStyle}}
	return p, nil
}

// levelTenths returns how many tenths of a second share one point of the plot.
func levelTenths(seconds float64) int {
	for _, tenths := range []int{1, 2, 5, 10, 20, 50, 100, 300} {
		if seconds*cellsPerSec/float64(tenths) <= mostLevels {
			return tenths
		}
	}
	return 600
}

func everyText(tenths int) string {
	switch tenths {
	case 1:
		return "each tenth of a second"
	case 2:
		return "each fifth of a second"
	case 5:
		return "each half second"
	case 10:
		return "each second"
	}
	return fmt.Sprintf("each %d seconds", tenths/cellsPerSec)
}

// levelTicks marks every 10 dB.
type levelTicks struct{}

func (levelTicks) Ticks(fromDBFS, toDBFS float64) []plot.Tick {
	var ticks []plot.Tick
	for levelDBFS := 0; float64(levelDBFS) >= fromDBFS; levelDBFS -= 10 {
		if float64(levelDBFS) <= toDBFS {
			ticks = append(ticks, plot.Tick{Value: float64(levelDBFS), Label: levelText(levelDBFS)})
		}
	}
	return ticks
}

// levelText writes a level of 0 dBFS or less with a true minus sign.
func levelText(levelDBFS int) string {
	if levelDBFS == 0 {
		return "0"
	}
	return fmt.Sprintf("−%d", -levelDBFS)
}
