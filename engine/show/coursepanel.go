// The plots of a chord's course: a line that turns for each cycle, and the distance of the chord from its beginning.

package show

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"lapstrake/mapping"
)

const (
	laneHeight     = vg.Length(25)
	laneRoom       = 0.78 // of its height, for the line of a lane
	betweenKeys    = 0.3  // the room between the lanes of two keys, in lanes
	awayHeight     = vg.Length(110)
	mostMarks      = 3
	mostAway       = 4000 // points of the curve of the distance
	mostClearTurns = 60   // of the shortest cycle; with more, that curve is drawn thin
	hairlineSpan   = vg.Length(9)
)

// coursePanels are the lanes of a chord and, below, how far it is from its beginning; the nearest moments are marked
// in both.
func coursePanels(chord *Chord, seconds float64) ([]panel, error) {
	marks := nearMarks(chord, seconds)
	lanes := lanePanel(chord, seconds)
	lanes.hideAxis()
	away, err := awayPanel(chord, seconds, marks)
	for i := range marks {
		marks[i].Text = ""
	}
	lanes.marks = marks
	return []panel{lanes, away}, err
}

// nearMarks says how near the chord comes to its beginning, and when.
func nearMarks(chord *Chord, seconds float64) (marks []Mark) {
	for _, back := range chord.Nearest(seconds, mostMarks, seconds/5) {
		back.WorstTurns += 0 // no minus before a zero
		text := fmt.Sprintf("nearest: %s, %.2g %%", momentText(back.BestSec), 100*back.WorstTurns)
		if back.WorstTurns <= IsReturnTurns {
			text = fmt.Sprintf("return: %s, %.2g %%", momentText(back.BestSec), 100*back.WorstTurns)
		}
		marks = append(marks, Mark{X: back.BestSec, Text: text, Grave: back.WorstTurns <= IsReturnTurns})
	}
	return marks
}

// momentText writes a time of a chord.
func momentText(sec float64) string {
	if sec < 60 {
		return fmt.Sprintf("%.1f s", sec)
	}
	whole := int(math.Round(sec))
	return fmt.Sprintf("%d:%02d min", whole/60, whole%60)
}

// awayPanel draws the distance of the farthest cycle from where it began.
func awayPanel(chord *Chord, seconds float64, marks []Mark) (panel, error) {
	shortest := math.Inf(1)
	for _, cycle := range chord.Cycles {
		shortest = min(shortest, cycle.CycleSec)
	}
	var times []float64
	for i, n := 0, int(min(24*seconds/shortest+2, mostAway)); i <= n; i++ {
		times = append(times, seconds*float64(i)/float64(n))
	}
	for _, mark := range marks {
		times = append(times, mark.X)
	}
	slices.Sort(times)
	curve := Curve{X: times}
	for _, sec := range times {
		curve.Y = append(curve.Y, 100*chord.AwayTurns(sec))
	}
	dense := seconds/shortest > mostClearTurns
	c := &Curves{Axis: Time, hairline: dense, Curves: []Curve{curve}, Marks: slices.Clone(marks),
		Up: "How far the farthest cycle is from where it began, in % of a turn: at 0 the chord is back"}
	p, err := c.panel(awayHeight)
	p.plot.X.Min, p.plot.X.Max, p.plot.Y.Min, p.plot.Y.Max = 0, seconds, 0, 52
	return p, err
}

// lanePanel draws a lane for each cycle, in which a line rises over each turn from where the note began. Its dashes
// say which bed leads.
func lanePanel(chord *Chord, seconds float64) panel {
	lanes := chord.Lanes(seconds)
	ticks := laneTicks(lanes, chord.m.MiddleC)
	lowest := ticks[len(ticks)-1].Value - 0.5
	const heading = "Each cycle's course: a line rises over one turn from where the note began, in the style of the " +
		"bed that leads"
	p := newPanel(heading, vg.Length(0.5-lowest)*laneHeight, timeTicks{}, timeLabel(seconds))
	p.plot.Add(turningLines{lanes, ticks})
	p.plot.X.Min, p.plot.X.Max = 0, seconds
	p.plot.Y.Min, p.plot.Y.Max = lowest, 0.5
	p.plot.Y.Tick.Marker = plot.ConstantTicks(ticks)
	for i := range chord.m.Strands {
		p.legend = append(p.legend, legendEntry{name: legendTitle(chord.m, i), style: lineStyle(i)})
	}
	return p
}

// legendTitle is what a strand is called in a legend.
func legendTitle(m *mapping.Map, strand int) string {
	if title := m.StrandTitle(strand); title != m.Strands[strand] {
		return title
	}
	return "bed " + m.Strands[strand]
}

// laneTicks gives each lane its label and its place, downwards from 0 with room between two presses.
func laneTicks(lanes []Lane, naming mapping.Naming) []plot.Tick {
	ticks := make([]plot.Tick, len(lanes))
	place := 0.0
	for i, lane := range lanes {
		if i > 0 {
			place--
			if lane.Cycle.Key != lanes[i-1].Cycle.Key {
				place -= betweenKeys
			}
		}
		ticks[i] = plot.Tick{Value: place, Label: laneText(&lane.Cycle, naming)}
	}
	return ticks
}

func laneText(c *SoundingCycle, naming mapping.Naming) string {
	text := fmt.Sprintf("%s from %s, rank %s", naming.Name(c.Key), naming.Name(c.Root), c.Rank)
	if c.Layer != "" {
		text += ", " + c.Layer
	}
	return text
}

// turningLines draws the lanes. It serves as a plot.Plotter.
type turningLines struct {
	lanes  []Lane
	places []plot.Tick
}

func (l turningLines) Plot(canvas draw.Canvas, p *plot.Plot) {
	toX, toY := p.Transforms(&canvas)
	for i, lane := range l.lanes {
		bottom, top := toY(l.places[i].Value-laneRoom/2), toY(l.places[i].Value+laneRoom/2)
		canvas.StrokeLine2(gridLine, canvas.Min.X, bottom, canvas.Max.X, bottom)
		thin := min(1, (toX(lane.Cycle.CycleSec)-toX(0))/hairlineSpan) // where turns are narrow, so are their lines
		for _, lead := range lane.Leads {
			style := lineStyle(lead.Strand)
			style.Width *= thin
			for _, rise := range lane.Cycle.rises(lead) {
				canvas.StrokeLine2(style, toX(rise.fromSec), bottom+(top-bottom)*vg.Length(rise.fromTurns),
					toX(rise.toSec), bottom+(top-bottom)*vg.Length(rise.toTurns))
			}
		}
	}
}

// rise is a stretch of a cycle within one turn, in turns from where the note began.
type rise struct{ fromSec, toSec, fromTurns, toTurns float64 }

// rises cuts a lead where the cycle passes the place at which the note began.
func (c *SoundingCycle) rises(lead Lead) (all []rise) {
	const little = 1e-9
	for turn := math.Floor(lead.FromSec/c.CycleSec + little); turn*c.CycleSec < lead.ToSec*(1-little); turn++ {
		from, to := max(lead.FromSec, turn*c.CycleSec), min(lead.ToSec, (turn+1)*c.CycleSec)
		all = append(all, rise{from, to, from/c.CycleSec - turn, to/c.CycleSec - turn})
	}
	return all
}
