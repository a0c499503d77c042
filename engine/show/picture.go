// A picture of a sound: its level over time and the course of its chord.

package show

import (
	"fmt"

	"gonum.org/v1/plot/vg"

	"lapstrake/engine"
)

// Picture draws the level of a sound and its bands over time and, where a chord is given, the course of its cycles and
// who is heard, with what moves a controller meanwhile or else with how far the chord is from its beginning.
type Picture struct {
	Title  string
	Levels *Levels        // of one frame or more
	Bands  *Spectrogram   // nil where nobody measured them
	Chord  *Chord         // nil for a score: the picture then has no lanes
	Heard  *Heard         // nil where nobody knows
	Moves  []engine.Event // of one controller, in the order of their frames
}

const movesHeight = vg.Length(80)

// Name returns the title.
func (p *Picture) Name() string { return p.Title }

// sheet makes the plots. The lowest alone has a time axis, which counts for all.
func (p *Picture) sheet() (*sheet, error) {
	level, err := levelPanel(p.Levels)
	if err != nil {
		return nil, err
	}
	above := []panel{level}
	if p.Bands != nil && len(p.Bands.columns) > 0 {
		above[0].hideAxis()
		above = append(above, p.Bands.panel(p.Levels.Seconds()))
	}
	if p.Chord == nil || len(p.Chord.Cycles) == 0 {
		return &sheet{p.Title, above}, nil
	}
	above[len(above)-1].hideAxis()
	if p.Heard != nil && len(p.Heard.rows) > 0 {
		heard := p.Heard.panel(p.Levels.Seconds())
		heard.hideAxis()
		above = append(above, heard)
	}
	if len(p.Moves) > 0 {
		lanes := lanePanel(p.Chord, p.Levels.Seconds())
		lanes.hideAxis()
		moves, err := p.movesPanel()
		return &sheet{p.Title, append(above, lanes, moves)}, err
	}
	course, err := coursePanels(p.Chord, p.Levels.Seconds())
	return &sheet{p.Title, append(above, course...)}, err
}

// movesPanel draws the values of the controller. The last one holds to the end.
func (p *Picture) movesPanel() (panel, error) {
	seconds, curve := p.Levels.Seconds(), Curve{}
	for _, move := range p.Moves {
		curve.X = append(curve.X, float64(move.Frame)/float64(p.Levels.rateHz))
		curve.Y = append(curve.Y, float64(move.Data2))
	}
	curve.X, curve.Y = append(curve.X, seconds), append(curve.Y, curve.Y[len(curve.Y)-1])
	c := &Curves{Axis: Time, Curves: []Curve{curve}, Up: fmt.Sprintf("Dynamics: value of controller %d",
		p.Moves[0].Data1)}
	moves, err := c.panel(movesHeight)
	moves.plot.X.Min, moves.plot.X.Max, moves.plot.Y.Min, moves.plot.Y.Max = 0, seconds, 0, 127
	moves.plot.Y.Tick.Marker = valueTicks{}
	return moves, err
}
