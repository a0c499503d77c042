// How a player shares its memory out: half for the heads, half for the rings.

package engine

import (
	"fmt"

	"lapstrake/engine/stream"
)

// DefaultMemoryBytes is the memory for heads and rings unless told otherwise.
const DefaultMemoryBytes = 96 << 20

// Memory is what heads and rings take, in bytes.
type Memory struct {
	HeadBytes int64 `json:"head_bytes"` // the first stretch of every cycle after every start
	RingBytes int64 `json:"ring_bytes"` // what is read ahead for voices that sound
}

// Bytes is all of it.
func (m Memory) Bytes() int64 { return m.HeadBytes + m.RingBytes }

// PlanMemory tells what a player with the default settings will take for a map of so many heads, a start of a cycle
// each, and so much polyphony. Without a head there is nothing to play, and it takes nothing.
func PlanMemory(heads, polyphony int) Memory {
	if heads == 0 {
		return Memory{}
	}
	rings := voicesFor(polyphony)
	frames := stream.RingFrames(rings, forRings(DefaultMemoryBytes))
	return Memory{
		HeadBytes: stream.HeadBytes(heads, forHeads(DefaultMemoryBytes)),
		RingBytes: stream.RingBytes(rings, frames),
	}
}

func forHeads(memoryBytes int64) int64 { return memoryBytes / 2 }
func forRings(memoryBytes int64) int64 { return memoryBytes - forHeads(memoryBytes) }

// voicesFor is how many voices there are for a polyphony: stolen ones fade while their successors sound, on spare
// ones.
func voicesFor(polyphony int) int { return polyphony + max(polyphony/4, 32) }

// ringFrames shares memory out to the rings of a map's voices, and refuses too little.
func ringFrames(memoryBytes int64, polyphony int) (int64, error) {
	rings := voicesFor(polyphony)
	frames := stream.RingFrames(rings, forRings(memoryBytes))
	if frames == 0 {
		return 0, fmt.Errorf("%d MB of memory are too little for %d voices: allow %d MB or lower the map's polyphony",
			memoryBytes>>20, polyphony, 2*stream.LeastRingBytes(rings)>>20+1)
	}
	return frames, nil
}
