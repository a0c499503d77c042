// Takes that would be moved too far.

package assign

import (
	"testing"
)

// A take far from a root sounds an octave off it rather than be moved so far; a near one sounds at the root.
func TestFarTakesUseAnOctave(t *testing.T) {
	for _, c := range []struct {
		move, limit, want float64
		octave            int
	}{
		{5, 7, 5, 0}, {-7, 7, -7, 0}, {9, 7, -3, -1}, {-11, 7, 1, 1}, {30, 7, 18, -1},
	} {
		p := Placement{MoveSemitones: c.move, LimitSemitones: c.limit}
		p.useOctave()
		if p.MoveSemitones != c.want || p.Octave != c.octave {
			t.Errorf("a move of %v semitones, limit %v, became %v at octave %d, want %v at %d", c.move, c.limit,
				p.MoveSemitones, p.Octave, c.want, c.octave)
		}
	}
}
