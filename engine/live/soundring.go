// The ring that carries sound from the audio thread to the recorder without a lock.

package live

import (
	"math"
	"math/bits"
	"sync/atomic"

	"lapstrake/engine"
)

// blockHeadWords stand ahead of each block in the ring: its frames, and all frames dropped before it.
const blockHeadWords = 2

// soundRing holds blocks of stereo frames. A block for which there is no room is dropped and counted, and take
// gives as many silent frames in its place. One goroutine adds and one takes.
type soundRing struct {
	words   []uint32 // a power of two, without pointers; word n stands at n modulo their number
	_       engine.Apart
	pushed  atomic.Uint64 // words; written by add alone
	dropped atomic.Int64  // frames; written by add alone
	_       engine.Apart
	popped  atomic.Uint64 // words; written by take alone

	// The rest belongs to take.
	left   int    // frames of the block begun
	silent int64  // frames to give before them
	filled uint32 // dropped frames that silence has been given for, modulo 2³²
}

// newSoundRing makes a ring that holds at least so many frames, in blocks of eight frames or more.
func newSoundRing(frames int) *soundRing {
	words := 2*frames + blockHeadWords*(frames/8+1)
	return &soundRing{words: make([]uint32, 1<<bits.Len(uint(words-1)))}
}

func (r *soundRing) word(n uint64) *uint32 { return &r.words[n&uint64(len(r.words)-1)] }

// add puts in a block, interleaved stereo, or drops it as a whole. Audio thread: no allocation, lock, system
// call or log.
func (r *soundRing) add(block []float32) {
	frames := len(block) / 2
	at := r.pushed.Load()
	if free := uint64(len(r.words)) - (at - r.popped.Load()); free < uint64(blockHeadWords+2*frames) {
		r.dropped.Add(int64(frames))
		return
	}
	*r.word(at) = uint32(frames)
	*r.word(at + 1) = uint32(r.dropped.Load())
	at += blockHeadWords
	for _, sample := range block[:2*frames] {
		*r.word(at) = math.Float32bits(sample)
		at++
	}
	r.pushed.Store(at) // publishes the words
}

// take fills dst with the frames that come next, silence for dropped ones included. It gives how many there
// were, which are fewer than dst holds when the ring is empty.
func (r *soundRing) take(dst []float32) (frames int) {
	for room := len(dst) / 2; frames < room; {
		switch to := dst[2*frames:]; {
		case r.silent > 0:
			n := min(room-frames, int(r.silent))
			clear(to[:2*n])
			r.silent -= int64(n)
			frames += n
		case r.left > 0:
			n := min(room-frames, r.left)
			r.copy(to[:2*n])
			r.left -= n
			frames += n
		case !r.beginBlock():
			return frames
		}
	}
	return frames
}

// copy takes samples of the block begun and hands their room back.
func (r *soundRing) copy(to []float32) {
	at := r.popped.Load()
	for i := range to {
		to[i] = math.Float32frombits(*r.word(at))
		at++
	}
	r.popped.Store(at)
}

// beginBlock reads the head of the next block, if there is one.
func (r *soundRing) beginBlock() bool {
	at := r.popped.Load()
	if at == r.pushed.Load() {
		return false
	}
	r.left = int(*r.word(at))
	r.fillUpTo(*r.word(at + 1))
	r.popped.Store(at + blockHeadWords)
	return true
}

// fillUpTo orders silence for the frames dropped since the last block. The counts are taken modulo 2³²: a
// day's frames at 48 kHz, and more than a recording can lack.
func (r *soundRing) fillUpTo(dropped uint32) {
	r.silent += int64(dropped - r.filled)
	r.filled = dropped
}

// finish orders silence for what was dropped after the last block. Nothing may be added any more.
func (r *soundRing) finish() { r.fillUpTo(uint32(r.dropped.Load())) }
