// The kernel in plain Go, for processors without AVX2.

package voices

// mixPortable is the kernel (see there) in bounds-checked Go.
func mixPortable(dst, src []float32, t *table, pos, step, dstep uint64, first int, gain, gainStep float32) {
	width := 2 * t.taps
	fractionBits := 32 - t.phaseBits
	for i := 0; i+1 < len(dst); i += 2 {
		start := 2 * (int(pos>>32) - t.before())
		phase := int(uint32(pos) >> fractionBits)
		fraction := float32(uint32(pos) & (1<<fractionBits - 1))
		left, right := convolve(src[start:start+width], t.rows[phase*width:(phase+1)*width], fraction)
		g := gain + gainStep*float32(first+i/2)
		dst[i] += g * left
		dst[i+1] += g * right
		pos += step
		step += dstep
	}
}

// convolve returns one frame: len(row)/2 source frames, interleaved stereo, weighted by the row's coefficients
// plus fraction times its slopes. Each weight is computed once, for both channels; four sums of two taps each hide the
// latency of additions. Array pointers leave one bounds check per group.
func convolve(src, row []float32, fraction float32) (left, right float32) {
	taps := len(row) / 2
	coefficients, slopes := row[:taps], row[taps:]
	var l0, r0, l1, r1 float32
	for len(coefficients) >= tapGroup && len(slopes) >= tapGroup && len(src) >= 2*tapGroup {
		c, d, s := (*[tapGroup]float32)(coefficients), (*[tapGroup]float32)(slopes), (*[2 * tapGroup]float32)(src)
		w0 := c[0] + fraction*d[0]
		w1 := c[1] + fraction*d[1]
		w4 := c[2] + fraction*d[2]
		w5 := c[3] + fraction*d[3]
		w2 := c[4] + fraction*d[4]
		w3 := c[5] + fraction*d[5]
		w6 := c[6] + fraction*d[6]
		w7 := c[7] + fraction*d[7]
		l0 += w0*s[0] + w2*s[4]
		r0 += w0*s[1] + w2*s[5]
		l1 += w1*s[2] + w3*s[6]
		r1 += w1*s[3] + w3*s[7]
		l0 += w4*s[8] + w6*s[12]
		r0 += w4*s[9] + w6*s[13]
		l1 += w5*s[10] + w7*s[14]
		r1 += w5*s[11] + w7*s[15]
		coefficients, slopes, src = coefficients[tapGroup:], slopes[tapGroup:], src[2*tapGroup:]
	}
	return l0 + l1, r0 + r1
}
