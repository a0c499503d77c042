// Floats to the integers of a file: scaling, rounding, dither and clipping.

package wav

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
)

// quantiser turns samples into bytes, one after the other. Its dither depends on nothing but the
// number of samples before, so the same sound gives the same bytes however it is cut into blocks.
type quantiser struct {
	format  Format
	dither  *rand.PCG
	clipped int64
}

func newQuantiser(format Format) quantiser {
	return quantiser{format: format, dither: rand.NewPCG(0x6c617073, 0x7472616b)} // any fixed seed does
}

// put stores one finite sample at the start of dst. Beyond ±1 it is clipped, and counted. A
// sample of exactly +1, one step more than an integer holds, becomes the largest and is not.
func (q *quantiser) put(dst []byte, sample float32) {
	if q.format == Float {
		binary.LittleEndian.PutUint32(dst, math.Float32bits(sample))
		return
	}
	if sample > 1 || sample < -1 {
		q.clipped++
	}
	if q.format == PCM16 {
		binary.LittleEndian.PutUint16(dst, uint16(int16(toInteger(sample, 16, q.triangular()))))
		return
	}
	v := toInteger(sample, 24, 0)
	dst[0], dst[1], dst[2] = byte(v), byte(v>>8), byte(v>>16)
}

// triangular is the sum of two independent uniform numbers, −1 < t < 1 steps: the noise that makes
// both the mean and the power of the rounding error independent of the sound (Lipshitz,
// Wannamaker and Vanderkooy, Quantization and Dither, J. Audio Eng. Soc. 40, 1992).
func (q *quantiser) triangular() float64 {
	word := q.dither.Uint64()
	return float64(word>>32+word&math.MaxUint32)/(1<<32) - 1
}

// toInteger rounds sample, full scale ±1, plus an offset in steps to an integer of so many bits.
func toInteger(sample float32, bits int, offsetSteps float64) int32 {
	steps := float64(int64(1) << (bits - 1))
	rounded := math.RoundToEven(float64(sample)*steps + offsetSteps)
	return int32(min(max(rounded, -steps), steps-1))
}
