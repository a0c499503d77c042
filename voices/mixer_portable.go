// The kernel in plain Go, for processors without AVX2.

package voices

// mixPortable is the kernel (see there) in bounds-checked Go.
func mixPortable(dst, src []float32, t *table, pos, step, dstep uint64, first int, gain, gainStep float32) {
	rows, groups := t.rows, t.taps/tapGroup
	fractionBits := uint(32-t.phaseBits) & 31 // the mask spares the compiler a check of the shift
	fractionMask := uint32(1)<<fractionBits - 1
	start := pos - uint64(t.before())<<32
	index := float32(first)
	for len(dst) >= 2 {
		row := rows[int(uint32(start)>>fractionBits)*groups:][:groups]
		fraction := float32(int32(uint32(start) & fractionMask))
		left, right := convolve(src[start>>32*2:], row, fraction)
		g := gain + gainStep*index
		dst[0] += g * left
		dst[1] += g * right
		dst = dst[2:]
		start += step
		step += dstep
		index++
	}
}

// convolve returns one frame: interleaved stereo weighted by a row's coefficients plus fraction times its
// slopes. Each weight is computed once, for both channels; two sums a channel hide the latency of additions.
func convolve(src []float32, row []taps8, fraction float32) (left, right float32) {
	var l0, r0, l1, r1 float32
	for g := range row {
		c, d, s := &row[g].coefficients, &row[g].slopes, (*[2 * tapGroup]float32)(src)
		src = src[2*tapGroup:]
		w0 := c[0] + fraction*d[0]
		w1 := c[1] + fraction*d[1]
		l0 += w0 * s[0]
		r0 += w0 * s[1]
		l1 += w1 * s[2]
		r1 += w1 * s[3]
		w2 := c[4] + fraction*d[4]
		w3 := c[5] + fraction*d[5]
		l0 += w2 * s[4]
		r0 += w2 * s[5]
		l1 += w3 * s[6]
		r1 += w3 * s[7]
		w4 := c[2] + fraction*d[2]
		w5 := c[3] + fraction*d[3]
		l0 += w4 * s[8]
		r0 += w4 * s[9]
		l1 += w5 * s[10]
		r1 += w5 * s[11]
		w6 := c[6] + fraction*d[6]
		w7 := c[7] + fraction*d[7]
		l0 += w6 * s[12]
		r0 += w6 * s[13]
		l1 += w7 * s[14]
		r1 += w7 * s[15]
	}
	return l0 + l1, r0 + r1
}
