// Floats to the integers of a file: scaling, rounding, dither and clipping.

package wav

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
)

// Quantiser turns samples into whole numbers, one after the other. Its dither depends only on the seed and on how many
// samples came before, so the same sound gives the same numbers however it is cut into blocks.
type Quantiser struct {
	bits    int
	dither  *rand.PCG // nil: plain rounding
	clipped int64
}

// NewQuantiser makes one for 8 to 24 bits. Up to 16 bits it dithers, with another noise for each seed: the same noise
// in sounds that are heard together would add up.
func NewQuantiser(bits int, seed uint64) Quantiser {
	q := Quantiser{bits: bits}
	if bits <= 16 {
		q.dither = rand.NewPCG(0x6c617073, 0x7472616b^seed) // any fixed numbers do
	}
	return q
}

// Steps gives a finite sample, full scale ±1, in steps: −2^(bits−1) up to, not including, 2^(bits−1). A sample beyond
// ±1 is clipped and counted. A sample of exactly +1 is one step more than the numbers hold: it becomes the largest and
// is not counted.
func (q *Quantiser) Steps(sample float32) int32 {
	if sample > 1 || sample < -1 {
		q.clipped++
	}
	offset := 0.0
	if q.dither != nil {
		offset = q.triangular()
	}
	return toInteger(sample, q.bits, offset)
}

// Clipped is the number of samples so far that lay beyond full scale.
func (q *Quantiser) Clipped() int64 { return q.clipped }

// put stores one finite sample of a format at the start of dst.
func (q *Quantiser) put(dst []byte, sample float32, format Format) {
	switch format {
	case Float:
		binary.LittleEndian.PutUint32(dst, math.Float32bits(sample))
	case PCM16:
		binary.LittleEndian.PutUint16(dst, uint16(q.Steps(sample)))
	default:
		v := q.Steps(sample)
		dst[0], dst[1], dst[2] = byte(v), byte(v>>8), byte(v>>16)
	}
}

// triangular is the sum of two independent uniform numbers, −1 < t < 1 steps: the noise that makes
// both the mean and the power of the rounding error independent of the sound (Lipshitz,
// Wannamaker and Vanderkooy, Quantization and Dither, J. Audio Eng. Soc. 40, 1992).
func (q *Quantiser) triangular() float64 {
	word := q.dither.Uint64()
	return float64(word>>32+word&math.MaxUint32)/(1<<32) - 1
}

// toInteger rounds sample, full scale ±1, plus an offset in steps to an integer of so many bits.
func toInteger(sample float32, bits int, offsetSteps float64) int32 {
	steps := float64(int64(1) << (bits - 1))
	rounded := math.RoundToEven(float64(sample)*steps + offsetSteps)
	return int32(min(max(rounded, -steps), steps-1))
}
