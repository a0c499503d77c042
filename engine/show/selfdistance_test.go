package show

import (
	"image/color"
	"testing"
)

// What comes back after 6 s is white there, and dark between; before there was a sound, it is neither. A panel is as
// long as its sound, in seconds, both ways.
func TestSelfDistanceShowsARepeat(t *testing.T) {
	const seconds, turn = 30, 6
	s := SelfDistance{Name: "one key"}
	for k := range seconds {
		var before []float32
		for apart := 1; apart <= k; apart++ {
			db := float32(darkestDB)
			if apart%turn == 0 {
				db = 0
			}
			before = append(before, db)
		}
		s.DistancesDB = append(s.DistancesDB, before)
	}
	picture := s.picture()
	for _, at := range []struct {
		second, apart int
		want          color.Color
	}{
		{29, 6, shade(0)}, {29, 24, shade(0)}, {29, 3, shade(1)}, {29, 29, shade(1)}, {12, 12, shade(0)},
		{12, 0, shade(0)}, {12, 18, notYet}, {0, 1, notYet},
	} {
		got, want := picture.At(at.second, seconds-1-at.apart), color.RGBAModel.Convert(at.want)
		if got != want {
			t.Errorf("second %d, %d s before: %v, want %v", at.second, at.apart, got, want)
		}
	}
	if p := s.panel().plot; p.X.Max != seconds || p.Y.Max != seconds {
		t.Errorf("the panel ends at %v and %v s", p.X.Max, p.Y.Max)
	}
}
