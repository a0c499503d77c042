package show

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// One time axis counts for all panels: wherever its last label stands, their data begin and end in one line.
func TestPanelsShareTheirTimeAxis(t *testing.T) {
	for _, seconds := range []float64{1, 59.9, 60, 64, 541, 599, 3600, 7201} {
		level := newPanel("level", 100, timeTicks{}, timeLabel(seconds))
		lanes := newPanel("lanes", 100, timeTicks{}, timeLabel(seconds))
		level.plot.X.Max, lanes.plot.X.Max = seconds, seconds
		level.plot.Y.Tick.Marker = levelTicks{}
		level.plot.Y.Min, level.plot.Y.Max = -60, 0
		lanes.plot.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "F#3 from root C4, rank C"}}
		level.hideAxis()
		page := draw.New(vgimg.New(pageWidth, 300))
		left := dataLeft([]panel{level, lanes}, page)
		upper := level.plot.DataCanvas(level.canvas(page, left, 300))
		lower := lanes.plot.DataCanvas(lanes.canvas(page, left, 150))
		apart := func(a, b vg.Length) float64 { return math.Abs(float64(a - b)) }
		if apart(upper.Min.X, lower.Min.X) > 0.1 || apart(upper.Max.X, lower.Max.X) > 0.1 {
			t.Errorf("%v s: the data lie at %v above and at %v below", seconds, upper.Rectangle, lower.Rectangle)
		}
	}
}

// A legend stands above its plot and ends on the page, however many lines there are and however long their names.
func TestLegendsCoverNothing(t *testing.T) {
	few := newPanel("", 100, numberTicks{}, "")
	for _, words := range []int{1, 12} {
		p := newPanel("", 100, numberTicks{}, "")
		for i := range 6 {
			p.legend = append(p.legend, legendEntry{name: strings.Repeat("a word ", words), style: lineStyle(i)})
		}
		for _, row := range p.legendRows() {
			width := -legendGap
			for _, entry := range row {
				width += entry.width() + legendGap
			}
			if width > pageWidth-2*pageMargin {
				t.Errorf("%d words: a row of the legend is %v wide", words, width)
			}
		}
		want := few.headHeight() + vg.Length(len(p.legendRows()))*legendHeight
		page := draw.New(vgimg.New(pageWidth, 400))
		if data := p.plot.DataCanvas(p.canvas(page, 60, 400)); p.headHeight() != want || data.Max.Y > 400-want+0.1 {
			t.Errorf("%d words: the plot begins at %v, %v below the top", words, data.Max.Y, p.headHeight())
		}
	}
}

// The words of marks never run into each other: in one row they are apart, and others take a row above.
func TestWordsOfMarksAreApart(t *testing.T) {
	p := newPanel("", 100, keyTicks{"C4"}, "key")
	p.plot.X.Min, p.plot.X.Max = 21, 108
	for key := 30.0; key < 36; key++ {
		p.marks = append(p.marks, Mark{X: key, Text: "a long word"})
	}
	p.marks = append(p.marks, Mark{X: 100, Text: "far"}, Mark{X: 50})
	toX := func(x float64) vg.Length { return vg.Length(8 * x) }
	rows := p.rowsOfWords(toX)
	for i, a := range rows {
		for j, b := range rows[:i] {
			reach := (markStyle().Width(p.marks[i].Text) + markStyle().Width(p.marks[j].Text)) / 2
			if apart := math.Abs(float64(toX(p.marks[i].X) - toX(p.marks[j].X))); a == b && a >= 0 &&
				apart < float64(reach) {
				t.Errorf("marks %d and %d lie in row %d, %v points apart", i, j, a, apart)
			}
		}
	}
	if rows[6] != 0 || rows[7] != -1 {
		t.Errorf("the far mark is in row %d and the one without words in %d, want 0 and -1", rows[6], rows[7])
	}
}
