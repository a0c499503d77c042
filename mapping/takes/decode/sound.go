// A decoded take in memory.

package decode

import "math"

// Sound is what a file holds, decoded, as it stands: no conversion of rate, no mixing.
type Sound struct {
	RateHz   int
	Bits     int         // stored bits a sample; 0: lossy or not known
	Float    bool        // the samples are stored as floats
	Format   string      // "WAV", "AIFF", "FLAC", "MP3"; what ffmpeg decoded: "Ogg", "MPEG-4" ..., "other"
	Channels [][]float32 // at least one; each alike long, full scale ±1 (floats may exceed it)

	Truncated bool // the file ends, or is damaged, before its declared end; this is what comes before
	Damaged   bool // a checksum in the file does not fit what it holds; nobody knows which samples are wrong
	NotFinite bool // some samples were NaN, infinite or far beyond full scale (wildLevel); they are 0 here
}

// Frames is the length in samples a channel.
func (s *Sound) Frames() int {
	if len(s.Channels) == 0 {
		return 0
	}
	return len(s.Channels[0])
}

// Seconds is the length.
func (s *Sound) Seconds() float64 { return float64(s.Frames()) / float64(s.RateHz) }

// Part is the frames from (inclusive) to to (exclusive), with everything else as it is. It shares the samples.
func (s *Sound) Part(from, to int) *Sound {
	part := *s
	part.Channels = make([][]float32, len(s.Channels))
	for c, channel := range s.Channels {
		part.Channels[c] = channel[from:to]
	}
	return &part
}

// Mono is the mean of the channels; of a single channel, that channel itself, not a copy.
func (s *Sound) Mono() []float32 {
	if len(s.Channels) == 1 {
		return s.Channels[0]
	}
	mono := make([]float32, s.Frames())
	for _, channel := range s.Channels {
		for i, sample := range channel {
			mono[i] += sample
		}
	}
	share := 1 / float32(len(s.Channels))
	for i := range mono {
		mono[i] *= share
	}
	return mono
}

// Stereo mixes down to two channels. One channel is given twice, two as they stand (no copies). More are
// taken to be in the order of RFC 9639 (FLAC), 9.1.3, which is that of WAVEFORMATEXTENSIBLE, and mixed by the
// 2/0 equations of ITU-R BS.775: front left and right whole, centre and surrounds at −3 dB, the LFE
// channel left out, nothing scaled down: the sum may exceed full scale.
func (s *Sound) Stereo() (left, right []float32) {
	switch len(s.Channels) {
	case 1:
		return s.Channels[0], s.Channels[0]
	case 2:
		return s.Channels[0], s.Channels[1]
	}
	left, right = make([]float32, s.Frames()), make([]float32, s.Frames())
	for c, place := range speakers[len(s.Channels)] {
		addScaled(left, s.Channels[c], place.left)
		addScaled(right, s.Channels[c], place.right)
	}
	return left, right
}

// gains is how loud a speaker's channel is in each side of the mix.
type gains struct{ left, right float32 }

const minus3dB = math.Sqrt2 / 2

var (
	front      = [2]gains{{1, 0}, {0, 1}}
	surround   = [2]gains{{minus3dB, 0}, {0, minus3dB}}
	centre     = gains{minus3dB, minus3dB}
	backCentre = gains{0.5, 0.5} // a single surround channel: −3 dB, shared by two sides
	lfe        = gains{}
)

// speakers gives the channels' places by their number.
var speakers = map[int][]gains{
	3: {front[0], front[1], centre},
	4: {front[0], front[1], surround[0], surround[1]},
	5: {front[0], front[1], centre, surround[0], surround[1]},
	6: {front[0], front[1], centre, lfe, surround[0], surround[1]},
	7: {front[0], front[1], centre, lfe, backCentre, surround[0], surround[1]},
	8: {front[0], front[1], centre, lfe, surround[0], surround[1], surround[0], surround[1]},
}

func addScaled(dst, src []float32, gain float32) {
	if gain == 0 {
		return
	}
	for i, sample := range src {
		dst[i] += gain * sample
	}
}
