// Package boatyard makes the demo's sounds. A boatyard on an estuary asked its neighbours for one sound each; here
// are the neighbours and what each of them sent. All of it is invented and
// synthesised: bodies as banks of modes, wires, reeds and voices as band-limited periods, wind and water as shaped
// noise, each heard through the room and the recorder of whoever sent it.
//
// Every pitched sound is in tune with its root within a cent on average (key 69 = 440 Hz, ISO 16); drift and
// vibrato stay within 6 cents. A sound that has no single pitch has its strike tone or strongest mode there.
package boatyard

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

// Kind is what a take does.
type Kind string

const (
	Struck Kind = "struck" // onset and decay
	Held   Kind = "held"   // goes on
	Noisy  Kind = "noisy"  // no usable pitch
)

// Maker is one neighbour's sound.
type Maker struct {
	Contributor, Title string
	Kind               Kind
	Soft, Loud         bool // the dynamic layers it suits

	lowKey, highKey int     // the keys that suit it; Take plays any
	force           float64 // how hard it is played: 0 barely, 1 as hard as it goes
	tailSec         float64 // struck: how long one is let ring there
	tape            recording
	play            func(*player)
}

// The force of each layer, and of a maker that was not told for which one it plays.
const (
	softForce  = 0.25
	plainForce = 0.5
	loudForce  = 0.85
)

// Makers returns the neighbours in the order in which their sounds arrived.
func Makers() []Maker {
	all := slices.Concat(planks(), bells(), glasses(), wires(), breaths(), reeds(), voices(), bows(),
		machines(), weather())
	for i := range all {
		all[i].force = plainForce
	}
	return all
}

// In returns the maker playing for a layer, "soft" or "loud": harder is brighter and noisier. Another word leaves
// it as it is.
func (m Maker) In(layer string) Maker {
	switch layer {
	case "soft":
		m.force = softForce
	case "loud":
		m.force = loudForce
	}
	return m
}

// Take renders the sound as it was received: interleaved stereo, `seconds` long, tuned to the MIDI key rootKey,
// with its lead-in, room, hiss and other defects, at the contributor's own level (peaks from −20 to −3 dBFS). The
// same arguments give the same samples; another seed is another performance. Partials above 0.45·rateHz are left
// out, so the root itself must lie below that. It returns nil if seconds or rateHz is not positive.
func (m Maker) Take(rootKey int, seconds float64, rateHz int, seed uint64) []float32 {
	frames := int(math.Round(seconds * float64(rateHz)))
	if frames <= 0 || rateHz <= 0 {
		return nil
	}
	memory := arenas.Get().(*arena)
	defer arenas.Put(memory)
	memory.back()
	return m.perform(memory, rootKey, frames, rateHz, seed).interleaved()
}

// perform plays and records one take of the length given in frames; it lasts as long as the arena's buffers.
func (m Maker) perform(memory *arena, rootKey, frames, rateHz int, seed uint64) *stereo {
	lead := min(int(m.tape.leadSec*float64(rateHz)), frames/8)
	p := &player{
		arena:  memory,
		rateHz: float64(rateHz),
		rootHz: sound.KeyHz(float64(rootKey)),
		frames: frames - lead,
		force:  m.force,
		noise:  newNoise(seed, streamOf(m.Title)+uint64(rootKey)),
	}
	p.mid = p.buffer()
	m.play(p)
	return m.tape.record(p, lead)
}
