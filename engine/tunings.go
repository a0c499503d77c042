// Tunings that come while one plays: the MIDI Tuning Standard's programs and octave scales, and what they make of a
// key.

package engine

import (
	"math"

	"lapstrake/mapping"
)

// tunings are what tuning messages have set. A key that none has named keeps the pitch that the map gives it.
type tunings struct {
	programs [128][mapping.HighestKey + 1]float32 // semitones of ISO 16, 69 being 440 Hz; NaN: not set
	octave   [12]float32                          // semitones above the equal ones, by pitch class; NaN: not set
	program  int                                  // in use
	touched  bool                                 // anything was ever set
}

func (t *tunings) init() {
	unset := float32(math.NaN())
	for program := range t.programs {
		for key := range t.programs[program] {
			t.programs[program][key] = unset
		}
	}
	for class := range t.octave {
		t.octave[class] = unset
	}
}

// pitch is that of a key; false where the map decides.
func (t *tunings) pitch(key int) (semitones float64, set bool) {
	if pitch := t.programs[t.program][key]; pitch == pitch {
		return float64(pitch), true
	}
	if above := t.octave[key%12]; above == above {
		return float64(key) + float64(above), true
	}
	return 0, false
}

// placesOf lists the cycles that a key sounds now, and the pitch that they have there by themselves.
func (e *Engine) placesOf(in *instrument, key int) (places []placed, ownPitch float64) {
	m := in.cycles.Map
	if pitch, retuned := e.tunings.pitch(key); retuned && m.Tuning != nil && m.Tuning.ZonesBy == mapping.ZonesByPitch {
		near := min(max(int(math.Round(pitch)), mapping.LowestKey), mapping.HighestKey)
		return in.byPitch[near], float64(near)
	}
	return in.byKey[key], m.Pitch(key)
}

// retune applies a tuning message. Sounding notes glide to their new pitch where it says so; others take it when they
// are struck. Audio thread.
func (e *Engine) retune(event Event) {
	t := &e.tunings
	t.touched = true
	if event.Status == KindTuneOctave {
		if channels := event.Fine >> tuneChannelsShift & 0xFFFF; e.settings.Channel != 0 &&
			channels>>(e.settings.Channel-1)&1 == 0 {
			return
		}
		t.octave[event.Data1%12] = float32(int(event.Fine&0x3FFF)-0x2000) / 0x2000
	} else {
		t.programs[event.Data2&0x7F][event.Data1&0x7F] = float32(event.Fine&0x1FFFFF) / (1 << 14)
	}
	if event.Fine&TuneSounding != 0 {
		e.glide()
	}
}

// glide sends all notes to the pitches that their keys have now, each on the cycles that it began on.
func (e *Engine) glide() {
	for _, n := range e.sounding {
		n.pitch.target = e.above(n)
	}
}

// above is how many semitones a note is to sound above the pitch that its cycles have by themselves.
func (e *Engine) above(n *note) float64 {
	c := &e.channels[n.channel]
	key := e.shifted(n.channel, n.key)
	pitch, retuned := e.tunings.pitch(key)
	if !retuned {
		pitch = n.on.cycles.Map.Pitch(key)
	}
	return pitch - n.ownPitch + c.fine + c.bend
}

// glide moves a note on to its pitch.
func (n *note) glide(keep *keeping, frames int) {
	if !n.pitch.arrived() {
		n.pitch.advance(keep, frames)
		n.ratio = ratioOf(n.pitch.value)
	}
}
