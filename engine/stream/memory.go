// How much memory heads and rings take of what they may.

package stream

// frameBytes is what a stereo frame takes in memory.
const frameBytes = 2 * 4

const (
	headBefore  = WindowFrames / 2 // frames of a head before its start
	leastHead   = 2 * pieceFrames
	longestHead = 32768 // in usualBytes, and longer in more

	leastRing   = 2 * pieceFrames
	longestRing = 32768 // in usualBytes, and longer in more

	usualBytes = 48 << 20
	most       = 1 << 20 // frames of any: 22 s at 48 kHz
)

// longest grows a length with the memory beyond the usual.
func longest(frames, mostBytes int64) int64 {
	return min(max(frames, frames*(mostBytes>>20)/(usualBytes>>20)), most)
}

// headFrames is how long each of so many heads is, in frames from its start on, where all may take mostBytes.
// Fewer than leastHead are too few.
func headFrames(heads int, mostBytes int64) int64 {
	return min(mostBytes/frameBytes/int64(heads)-headBefore, longest(longestHead, mostBytes))
}

// HeadBytes is the memory that so many heads take, at least one, where they may take mostBytes.
func HeadBytes(heads int, mostBytes int64) int64 {
	return int64(heads) * (headFrames(heads, mostBytes) + headBefore) * frameBytes
}

// RingFrames is how long each of so many rings is, in frames, where all may take mostBytes: a power of two, or 0 where
// that is too little; LeastRingBytes is enough.
func RingFrames(rings int, mostBytes int64) int64 {
	room := min(mostBytes/frameBytes/int64(rings)-WindowFrames, longest(longestRing, mostBytes))
	if room < leastRing {
		return 0
	}
	frames := int64(leastRing)
	for frames*2 <= room {
		frames *= 2
	}
	return frames
}

// RingBytes is the memory that so many rings of so many frames take.
func RingBytes(rings int, frames int64) int64 {
	return int64(rings) * (frames + WindowFrames) * frameBytes
}

// LeastRingBytes is the memory that so many rings take at least.
func LeastRingBytes(rings int) int64 { return RingBytes(rings, leastRing) }
