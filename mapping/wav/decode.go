// Samples as stored to floats: the fast way where there is one.

package wav

// Decode converts len(dst) samples of src to floats with full scale ±1. Integers are multiplied by 2^-7 (after taking
// 128 off), 2^-15, 2^-23 or 2^-31. Floats keep their value, NaN and infinity included. A-law and µ-law give the values
// of ITU-T G.711. src must hold at least len(dst) samples, otherwise Decode panics; it reads nothing beyond them. On
// processors with AVX2 it gives the same bits as DecodePortable, sooner.
func Decode(dst []float32, src []byte, e Encoding) {
	src = src[:len(dst)*e.Bytes()]
	done := decodeVector(dst, src, e)
	DecodePortable(dst[done:], src[done*e.Bytes():], e)
}
