// What sounds while keys are held, and when it comes back.

package show

import (
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// HorizonSec is how far ahead a chord's returns are looked for: 24 hours.
const HorizonSec = 24 * 3600

// Chord is a set of held keys and every cycle that they sound.
type Chord struct {
	Keys   []int // MIDI keys in the order in which they are pressed
	Cycles []SoundingCycle

	m *mapping.Map
}

// SoundingCycle is one cycle of a held key. It goes on for as long as the key is held.
type SoundingCycle struct {
	Key            int     `json:"key"` // MIDI key, 0 to 127
	Rank           string  `json:"rank"`
	Root           int     `json:"root"`            // MIDI key at which the cycle sounds unshifted
	Layer          string  `json:"layer,omitempty"` // only where the layers of the zone differ in length
	ShiftSemitones float64 `json:"shift_semitones"` // how far above Root the cycle is played; below it is negative
	Start          float64 `json:"start_turns"`     // where in the cycle the note begins, 0 ≤ Start < 1
	CycleSec       float64 `json:"cycle_sec"`       // one turn as heard at Key

	cycle        *stream.Cycle
	framesPerSec float64 // of the cycle, each second of output
}

// FirstReturn says when all cycles of a chord are first back near where they began.
type FirstReturn struct {
	WithinTurns float64 `json:"within_turns"`                 // what counts as near, in turns
	AfterSec    float64 `json:"after_sec,omitempty"`          // the first moment at which all cycles are near
	NearestSec  float64 `json:"nearest_sec,omitempty"`        // when, in that return, the worst cycle is nearest
	WorstTurns  float64 `json:"worst_turns,omitempty"`        // how far the worst cycle then is from a whole turn
	Never       bool    `json:"not_within_horizon,omitempty"` // no return begins within HorizonSec
}

// NewChord finds the cycles that keys sound when each of them is pressed for the first time.
// Keys that lie in no zone add none. The layers of a zone that are equally long stay in phase and count once, as the
// first of them. The chord reads the cycles' places only; it needs neither heads nor open beds.
func NewChord(cycles *stream.Cycles, keys []int) *Chord {
	chord := &Chord{Keys: slices.Clone(keys), m: cycles.Map}
	for _, key := range keys {
		for _, zone := range chord.m.ZonesAt(key) {
			chord.Cycles = append(chord.Cycles, zoneCycles(cycles, zone, key)...)
		}
	}
	return chord
}

// zoneCycles lists one cycle for each length that the layers of a zone have.
func zoneCycles(cycles *stream.Cycles, zone, key int) []SoundingCycle {
	m := cycles.Map
	z := &m.Zones[zone]
	var different []SoundingCycle
	for layer, name := range m.Layers {
		cycle := cycles.Cycle(zone, layer)
		shiftSemitones := m.ShiftSemitones(z, key)
		step := cycle.Step(shiftSemitones, m.RateHz)
		sounding := SoundingCycle{
			Key: key, Rank: z.Rank, Root: z.Root, Layer: name, ShiftSemitones: shiftSemitones,
			Start: m.Start(z, key, 0), CycleSec: cycle.TurnSeconds(step, m.RateHz),
			cycle: cycle, framesPerSec: float64(step) / mapping.OneFrame * float64(m.RateHz),
		}
		known := func(c SoundingCycle) bool { return c.CycleSec == sounding.CycleSec }
		if !slices.ContainsFunc(different, known) {
			different = append(different, sounding)
		}
	}
	if len(different) == 1 {
		different[0].Layer = ""
	}
	return different
}

// FirstReturns finds the chord's first return within 1 %, 2 % and 5 % of a turn, looking HorizonSec ahead.
func (c *Chord) FirstReturns() []FirstReturn {
	var all []FirstReturn
	for _, withinTurns := range []float64{0.01, 0.02, 0.05} {
		back, found := mapping.FirstReturn(c.cycleSecs(), withinTurns, HorizonSec)
		all = append(all, FirstReturn{withinTurns, back.FromSec, back.BestSec, back.WorstTurns, !found})
	}
	return all
}
