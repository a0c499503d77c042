// Beds in memory.

package stream

import "fmt"

// MemoryBed is a bed of interleaved stereo frames in memory, which must not change any more.
type MemoryBed struct {
	name   string
	stereo []float32
	rateHz int
}

// NewMemoryBed makes a bed of frames at rateHz; errors call it by its name.
func NewMemoryBed(name string, stereo []float32, rateHz int) *MemoryBed {
	return &MemoryBed{name, stereo, rateHz}
}

// Name is what errors call it by.
func (b *MemoryBed) Name() string { return b.name }

// Frames is how long it is.
func (b *MemoryBed) Frames() int64 { return int64(len(b.stereo) / 2) }

// RateHz is its rate.
func (b *MemoryBed) RateHz() int { return b.rateHz }

// Mono is false: nobody has looked.
func (b *MemoryBed) Mono() bool { return false }

// ReadStereo fills dst with frames from posFrames on.
func (b *MemoryBed) ReadStereo(dst []float32, posFrames int64) error {
	if posFrames < 0 || posFrames+int64(len(dst)/2) > b.Frames() {
		return fmt.Errorf("%s: frames %d to %d: it has %d", b.name, posFrames, posFrames+int64(len(dst)/2), b.Frames())
	}
	copy(dst, b.stereo[2*posFrames:])
	return nil
}
