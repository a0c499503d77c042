// How much memory a player takes for a map.

package beds

// PlayingMemory is what a player holds in memory, in bytes.
type PlayingMemory struct {
	HeadBytes int64 `json:"head_bytes"` // the first stretch of every cycle after every start
	RingBytes int64 `json:"ring_bytes"` // what is read ahead for voices that sound
}

// Bytes is all of it.
func (p PlayingMemory) Bytes() int64 { return p.HeadBytes + p.RingBytes }

// How the player shares its memory out unless told otherwise, as engine and engine/stream have it.
const (
	playerBytes      = 96 << 20 // half for heads, half for rings
	playerFrameBytes = 8        // two channels of 32-bit floats
	headMostFrames   = 32768
	headBeforeFrames = 512
	ringWindowFrames = 1024
	ringLeastFrames  = 8192
	ringMostFrames   = 65536
	spareVoicesPart  = 4 // a quarter more voices than may sound, for those that fade
	spareVoicesLeast = 32
)

func playingMemory(heads, voices int) PlayingMemory {
	if heads == 0 {
		return PlayingMemory{}
	}
	const share = playerBytes / 2 / playerFrameBytes // frames
	headFrames := min(share/heads-headBeforeFrames, headMostFrames)
	rings := voices + max(voices/spareVoicesPart, spareVoicesLeast)
	ringFrames := ringLeastFrames
	for ringFrames*2 <= min(share/rings, ringMostFrames)-ringWindowFrames {
		ringFrames *= 2
	}
	return PlayingMemory{
		HeadBytes: int64(heads) * int64(headFrames+headBeforeFrames) * playerFrameBytes,
		RingBytes: int64(rings) * int64(ringFrames+ringWindowFrames) * playerFrameBytes,
	}
}
