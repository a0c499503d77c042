// The kernels in AVX2 assembly, and the check at run time whether this processor has it.

package voices

import "golang.org/x/sys/cpu"

//go:generate go run ./gen -out kernel_amd64.s -stubs kernel_amd64.go -pkg voices

// kernelFor returns the kernel that computes this way, or nil where the processor cannot.
func kernelFor(a Arithmetic) kernel {
	vectors := cpu.X86.HasAVX2 && cpu.X86.HasFMA && cpu.X86.HasBMI2
	switch {
	case vectors && (a == Fastest || a == AVX2):
		return mixAVX2
	case a == Fastest || a == Portable:
		return mixPortable
	}
	return nil
}

// mixAVX2 is the kernel (see there) in AVX2 and FMA. Taps other than the qualities' own belong to steps above
// 1. The assembly checks nothing: Mix has checked the window, and no kernel reads a byte outside it.
func mixAVX2(dst, src []float32, t *table, pos, step, dstep uint64, first int, gain, gainStep float32) {
	mix := mixAVX2AnyTaps
	switch t.taps {
	case 16:
		mix = mixAVX2Taps16
	case 24:
		mix = mixAVX2Taps24
	case 32:
		mix = mixAVX2Taps32
	case 48:
		mix = mixAVX2Taps48
	}
	start := pos - uint64(t.before())<<32
	mix(&dst[0], &src[0], &t.rows[0].coefficients[0], t.taps, t.phaseBits, start, step, dstep, len(dst)/2, first,
		gain, gainStep)
}
