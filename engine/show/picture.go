// A picture of a sound: its level over time and the course of its chord.

package show

// Picture draws the level of a sound over time and, where a chord is given, the course of its cycles.
type Picture struct {
	Title  string
	Levels *Levels // of one frame or more
	Chord  *Chord  // nil for a score: the picture then has no lanes
}

// Name returns the title.
func (p *Picture) Name() string { return p.Title }

// sheet makes the plots. The lowest alone has a time axis, which counts for all.
func (p *Picture) sheet() (*sheet, error) {
	level, err := levelPanel(p.Levels)
	if err != nil || p.Chord == nil || len(p.Chord.Cycles) == 0 {
		return &sheet{p.Title, []panel{level}}, err
	}
	level.hideAxis()
	course, err := coursePanels(p.Chord, p.Levels.Seconds())
	return &sheet{p.Title, append([]panel{level}, course...)}, err
}
