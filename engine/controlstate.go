// Where controllers, channels and tunings stand, to be gone on from.

package engine

import (
	"fmt"
	"math"

	"lapstrake/mapping"
)

// ControlState is where all controllers stand.
type ControlState struct {
	Values    [128]int  `json:"values"` // as last received, 0 to 127; −1 where not moved yet
	Bend      int       `json:"bend"`   // 0 to 16383
	BendRange float64   `json:"bend_range_semitones"`
	Dynamics  SlowValue `json:"dynamics"`
	Volume    SlowValue `json:"volume"` // linear gain
	BendNow   SlowValue `json:"bend_semitones"`
}

// SlowValue is a value on its way to its target.
type SlowValue struct {
	Target float64 `json:"target"`
	Middle float64 `json:"middle"`
	Value  float64 `json:"value"`
}

func (a *approach) state() SlowValue { return SlowValue{a.target, a.middle, a.value} }

// goOn takes a value over that stays from least to most.
func (a *approach) goOn(s SlowValue, what string, least, most float64) error {
	if !(min(s.Target, s.Middle, s.Value) >= least && max(s.Target, s.Middle, s.Value) <= most) {
		return fmt.Errorf("found %s on its way from %v by %v to %v, expected %v to %v", what, s.Value,
			s.Middle, s.Target, least, most)
	}
	*a = approach{s.Target, s.Middle, s.Value}
	return nil
}

// within is an error unless a number is one of those that there are.
func within(what string, x, least, most int) error {
	if x < least || x > most {
		return fmt.Errorf("found %s %d, expected %d to %d", what, x, least, most)
	}
	return nil
}

const mostSemitones = 256 // of anything that moves a pitch

// state: audio thread.
func (c *controls) state() ControlState {
	return ControlState{c.values, c.bendValue, c.bendRange, c.dynamics.state(), c.volume.state(), c.bend.state()}
}

// goOn moves all controllers to where they stood.
func (c *controls) goOn(s ControlState) error {
	for number, value := range s.Values {
		if err := within(fmt.Sprintf("controller %d at", number), value, unmoved, 127); err != nil {
			return err
		}
	}
	if err := within("the bend", s.Bend, 0, 2*BendCentre-1); err != nil {
		return err
	}
	if !(math.Abs(s.BendRange) <= mostSemitones) {
		return fmt.Errorf("found a bend range of %v semitones, expected %d at most", s.BendRange, mostSemitones)
	}
	c.values, c.bendValue, c.bendRange = s.Values, s.Bend, s.BendRange
	if err := c.dynamics.goOn(s.Dynamics, "the dynamics", 0, 1); err != nil {
		return err
	}
	if err := c.volume.goOn(s.Volume, "the volume", 0, 1); err != nil {
		return err
	}
	return c.bend.goOn(s.BendNow, "the bend", -mostSemitones, mostSemitones)
}

// ChannelState is what one channel has said by itself.
type ChannelState struct {
	Parameter int     `json:"parameter"` // chosen, 14 bits
	Data      [2]int  `json:"data"`
	Coarse    float64 `json:"coarse"` // semitones
	Fine      float64 `json:"fine"`   // semitones
	Pressure  int     `json:"pressure"`
	Hold      bool    `json:"hold"`
	Sostenuto bool    `json:"sostenuto"`
	Member    bool    `json:"member"` // of a zone of MPE
	Bend      int     `json:"bend"`   // 0 to 16383
	BendRange float64 `json:"bend_range_semitones"`
	Dynamics  int     `json:"dynamics"` // −1: not moved yet
}

// state: audio thread.
func (c *channel) state() ChannelState {
	return ChannelState{c.parameter, c.data, c.coarse, c.fine, c.pressure, c.hold, c.sostenuto, c.member, c.bendValue,
		c.bendRange, c.dynamics}
}

func (c *channel) goOn(s ChannelState) error {
	for _, err := range []error{
		within("the parameter", s.Parameter, 0, noParameter), within("data", s.Data[0], 0, 127),
		within("fine data", s.Data[1], 0, 127), within("the pressure", s.Pressure, 0, 127),
		within("the bend", s.Bend, 0, 2*BendCentre-1), within("the dynamics", s.Dynamics, unmoved, 127),
	} {
		if err != nil {
			return err
		}
	}
	if !(max(math.Abs(s.Coarse), math.Abs(s.Fine), math.Abs(s.BendRange)) <= mostSemitones) {
		return fmt.Errorf("found tunings of %v, %v and %v semitones, expected %d at most", s.Coarse,
			s.Fine, s.BendRange, mostSemitones)
	}
	*c = channel{parameter: s.Parameter, data: s.Data, coarse: s.Coarse, fine: s.Fine,
		pressure: s.Pressure, hold: s.Hold, sostenuto: s.Sostenuto, member: s.Member, bendRange: s.BendRange,
		dynamics: s.Dynamics, bendValue: BendCentre}
	if c.bendValue = s.Bend; c.member {
		c.turnBend(s.Bend)
	}
	return nil
}

// Retuned is what tuning messages have set.
type Retuned struct {
	Program int             `json:"program"` // in use
	Keys    []TunedKey      `json:"keys"`
	Octave  map[int]float32 `json:"octave"` // semitones above the equal ones, by pitch class
}

// TunedKey is the pitch of a key in a tuning program.
type TunedKey struct {
	Program int     `json:"program"`
	Key     int     `json:"key"`
	Pitch   float32 `json:"pitch"` // semitones of ISO 16
}

func (t *tunings) state() Retuned {
	s := Retuned{Program: t.program, Octave: map[int]float32{}}
	for program := range t.programs {
		for key, pitch := range t.programs[program] {
			if pitch == pitch {
				s.Keys = append(s.Keys, TunedKey{program, key, pitch})
			}
		}
	}
	for class, above := range t.octave {
		if above == above {
			s.Octave[class] = above
		}
	}
	return s
}

func (t *tunings) goOn(s Retuned) error {
	if err := within("the tuning program", s.Program, 0, len(t.programs)-1); err != nil {
		return err
	}
	t.program, t.touched = s.Program, true
	for _, k := range s.Keys {
		if within("", k.Program, 0, len(t.programs)-1) != nil || within("", k.Key, 0, mapping.HighestKey) != nil ||
			!(k.Pitch >= 0 && k.Pitch <= mapping.HighestKey+1) {
			return fmt.Errorf("found program %d with key %d at %v, expected 0 to 127 each", k.Program, k.Key, k.Pitch)
		}
		t.programs[k.Program][k.Key] = k.Pitch
	}
	for class, above := range s.Octave {
		if within("", class, 0, len(t.octave)-1) != nil || !(above >= -1 && above <= 1) {
			return fmt.Errorf("found pitch class %d %v semitones up, expected 0 to 11, and -1 to 1", class, above)
		}
		t.octave[class] = above
	}
	return nil
}
