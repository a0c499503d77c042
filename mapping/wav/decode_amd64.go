// The AVX2 decoders behind Decode, where the processor has them.

package wav

import "golang.org/x/sys/cpu"

//go:generate go run ./gen -out decode_avx2_amd64.s -stubs decode_avx2_amd64.go -pkg wav

// blockSamples is what one turn of an AVX2 loop converts.
const blockSamples = 16

// decodeVector decodes as many leading samples of dst as make whole blocks and returns how many.
func decodeVector(dst []float32, src []byte, e Encoding) int {
	if !cpu.X86.HasAVX2 {
		return 0
	}
	switch e {
	case Int16:
		if blocks := len(dst) / blockSamples; blocks > 0 {
			decode16AVX2(&dst[0], &src[0], blocks)
			return blocks * blockSamples
		}
	case Int24:
		// The last load of a block takes four bytes beyond it; they must be src's own.
		if blocks := min(len(dst)/blockSamples, (len(src)-4)/(3*blockSamples)); blocks > 0 {
			decode24AVX2(&dst[0], &src[0], blocks)
			return blocks * blockSamples
		}
	}
	return 0
}
