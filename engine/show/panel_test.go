package show

import (
	"math"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// One time axis counts for all panels: wherever its last label stands, their data begin and end in one line.
func TestPanelsShareTheirTimeAxis(t *testing.T) {
	for _, seconds := range []float64{1, 59.9, 60, 64, 541, 599, 3600, 7201} {
		level, lanes := newPanel("level", 100, seconds), newPanel("lanes", 100, seconds)
		level.plot.Y.Tick.Marker = levelTicks{}
		level.plot.Y.Min, level.plot.Y.Max = -60, 0
		lanes.plot.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "F#3 from root C4, rank C"}}
		level.hideTimeAxis()
		lanes.addTimeAxis(seconds)
		page := draw.New(vgimg.New(pageWidth, 300))
		left := widestLabels([]panel{level, lanes}, page)
		upper := level.plot.DataCanvas(level.canvas(page, left, 300))
		lower := lanes.plot.DataCanvas(lanes.canvas(page, left, 150))
		apart := func(a, b vg.Length) float64 { return math.Abs(float64(a - b)) }
		if apart(upper.Min.X, lower.Min.X) > 0.1 || apart(upper.Max.X, lower.Max.X) > 0.1 {
			t.Errorf("%v s: the data lie at %v above and at %v below", seconds, upper.Rectangle, lower.Rectangle)
		}
	}
}
