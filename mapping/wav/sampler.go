// The smpl chunk: the key a recording sounds at, and its loops.

package wav

import (
	"encoding/binary"
	"fmt"
	"math"
)

// Sampler is what a smpl chunk tells a sample player.
type Sampler struct {
	RootKey   int     // MIDI key at which the recording sounds as recorded, 0 to 127
	FineCents float64 // how far the recording sounds above RootKey, 0 ≤ FineCents < 100
	Loops     []Loop
}

// Loop is one loop, in frames of the file.
type Loop struct {
	StartFrame int64
	EndFrame   int64 // inclusive
}

// maxLoops bounds what a hostile count may allocate.
const maxLoops = 1024

const dropSamplerMend = "open the file in an audio editor and save it as a new WAV without sampler data"

// readSampler reads 9 words, the key in the 4th, its fraction in the 5th, the number of loops in
// the 8th, then 6 words a loop with start and end in the 3rd and 4th (New Multimedia Data Types and
// Data Techniques, 1994, Sample Chunk). The fraction counts 2^-32 semitones upwards.
func (h *header) readSampler(c chunk, frames int64) (*Sampler, error) {
	const fixed, loopBytes = 36, 24
	body := make([]byte, min(c.sizeBytes, fixed+maxLoops*loopBytes))
	if err := h.readAt(body, c.bodyOffset); err != nil {
		return nil, err
	}
	if len(body) < fixed {
		return nil, h.formatError(c, -4, fmt.Sprintf("a size of %d bytes", len(body)), "36 or more", dropSamplerMend)
	}
	word := func(at int) int64 { return int64(binary.LittleEndian.Uint32(body[at:])) }
	sampler := &Sampler{RootKey: int(word(12)), FineCents: float64(word(16)) / (1 << 32) * 100}
	if word(12) > 127 {
		return nil, h.formatError(c, 12, fmt.Sprintf("the key %d", word(12)), "0 to 127", dropSamplerMend)
	}
	count := word(28)
	if room := int64(len(body)-fixed) / loopBytes; count > room {
		return nil, h.formatError(c, 28, fmt.Sprintf("%d loops", count),
			fmt.Sprintf("at most the %d the chunk has room for", room), dropSamplerMend)
	}
	for i := range int(count) {
		at := fixed + i*loopBytes
		loop := Loop{StartFrame: word(at + 8), EndFrame: word(at + 12)}
		if loop.EndFrame == frames { // common practice of writers that take the end as exclusive
			loop.EndFrame--
		}
		if loop.StartFrame > loop.EndFrame || loop.EndFrame >= frames {
			return nil, h.formatError(c, int64(at+8),
				fmt.Sprintf("a loop of frames %d to %d", word(at+8), word(at+12)),
				fmt.Sprintf("one within the file's %d frames", frames), dropSamplerMend)
		}
		sampler.Loops = append(sampler.Loops, loop)
	}
	return sampler, nil
}

// Chunk gives the smpl chunk of a file at rateHz. Its loops run forward and without end.
func (s Sampler) Chunk(rateHz int) Chunk {
	const manufacturer, product, smpteFormat, smpteOffset, extraBytes = 0, 0, 0, 0, 0
	nanosecondsAFrame := uint32(math.Round(1e9 / float64(rateHz)))
	words := []uint32{manufacturer, product, nanosecondsAFrame, uint32(s.RootKey),
		uint32(s.FineCents / 100 * (1 << 32)), smpteFormat, smpteOffset, uint32(len(s.Loops)), extraBytes}
	for i, loop := range s.Loops {
		const forward, fraction, endless = 0, 0, 0
		words = append(words, uint32(i), forward, uint32(loop.StartFrame), uint32(loop.EndFrame), fraction, endless)
	}
	var body []byte
	for _, word := range words {
		body = binary.LittleEndian.AppendUint32(body, word)
	}
	return Chunk{string(idSampler[:]), body}
}
