// How far sounds are from themselves: each moment against those before it.

package show

import (
	"image"
	"image/color"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
)

// SelfDistances is a picture of how far the timbre of sounds is from what it was: a repeat is a light line along the
// time, a change of all a dark one.
type SelfDistances struct {
	Title  string
	Sounds []SelfDistance // one or more
}

// SelfDistance is one of the sounds.
type SelfDistance struct {
	Name        string
	DistancesDB [][]float32 // of each second from each second before it, the nearest one first: second k has k
}

const (
	selfHeight = vg.Length(150)
	darkestDB  = 12.0 // and more: two sounds that have little in common
)

// Name returns the title.
func (s *SelfDistances) Name() string { return s.Title }

func (s *SelfDistances) sheet() (*sheet, error) {
	var panels []panel
	for i := range s.Sounds {
		panels = append(panels, s.Sounds[i].panel())
		if i+1 < len(s.Sounds) {
			panels[i].hideAxis()
		}
	}
	return &sheet{s.Title, panels}, nil
}

// panel draws the seconds to the right and how long before them upwards.
func (s *SelfDistance) panel() panel {
	seconds := float64(len(s.DistancesDB))
	p := newPanel(s.Name+": each second against those so many seconds before it; white is alike, dark another sound",
		selfHeight, timeTicks{}, timeLabel(seconds))
	p.plot.Add(plotter.NewImage(s.picture(), 0, 0, seconds, seconds))
	p.plot.X.Min, p.plot.X.Max, p.plot.Y.Min, p.plot.Y.Max = 0, seconds, 0, seconds
	p.plot.Y.Tick.Marker = timeTicks{}
	return p
}

// notYet is the ink of what was before the sound.
var notYet = color.Gray{0xe6}

// picture has a pixel for each second and each before it.
func (s *SelfDistance) picture() *image.RGBA {
	seconds := len(s.DistancesDB)
	picture := image.NewRGBA(image.Rect(0, 0, seconds, seconds))
	for k, before := range s.DistancesDB {
		for apart := range seconds {
			var ink color.Color = notYet
			switch {
			case apart == 0:
				ink = shade(0)
			case apart <= len(before):
				ink = shade(float64(before[apart-1]) / darkestDB)
			}
			picture.Set(k, seconds-1-apart, ink)
		}
	}
	return picture
}
