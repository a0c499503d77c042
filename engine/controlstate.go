// Where all controllers stand, to be gone on from.

package engine

import "fmt"

// ControlState is where all controllers stand.
type ControlState struct {
	Values    [128]int     `json:"values"` // as last received, 0 to 127; −1 where not moved yet
	Bend      int          `json:"bend"`   // 0 to 16383
	Hold      bool         `json:"hold"`
	Sostenuto bool         `json:"sostenuto"`
	Moving    [3]SlowValue `json:"moving"` // dynamics, volume gain, bend in semitones: on their way there
}

// SlowValue is a value on its way to its target.
type SlowValue struct {
	Middle float64 `json:"middle"`
	Value  float64 `json:"value"`
}

func (c *controls) moving() [3]*smoothed { return [3]*smoothed{&c.dynamics, &c.volume, &c.bend} }

// state: audio thread.
func (c *controls) state() ControlState {
	s := ControlState{Values: c.values, Bend: c.bendValue, Hold: c.hold, Sostenuto: c.sostenuto}
	for i, from := range c.moving() {
		s.Moving[i] = SlowValue{from.middle, from.value}
	}
	return s
}

// goOn moves all controllers to where they stood.
func (c *controls) goOn(s ControlState) error {
	for number, value := range s.Values {
		if value < unmoved || value > 127 {
			return fmt.Errorf("controls: found controller %d at %d, expected 0 to 127, or -1", number, value)
		}
	}
	if s.Bend < 0 || s.Bend > 2*BendCentre-1 {
		return fmt.Errorf("controls: found the bend %d, expected 0 to %d", s.Bend, 2*BendCentre-1)
	}
	c.values, c.hold, c.sostenuto = s.Values, s.Hold, s.Sostenuto
	c.dynamics.target, c.volume.target = c.dynamicsTarget(), c.volumeGain()
	c.turnBend(s.Bend)
	for i, to := range c.moving() {
		slow, most := s.Moving[i], 1.0
		if to == &c.bend {
			most = c.bendRange
		}
		if !(max(slow.Middle, -slow.Middle, slow.Value, -slow.Value) <= most) {
			return fmt.Errorf("controls: found %v on its way, expected no more than %v either way", slow, most)
		}
		to.middle, to.value = slow.Middle, slow.Value
	}
	return nil
}
