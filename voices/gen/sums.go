// The dot product of one frame: coefficients interpolated in registers, doubled for left and right, times the
// source.

package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// sum collects one frame's products as left, right, left, right, …: even and odd halves of each tap group
// apart, to halve the chain of dependent additions.
type sum struct {
	low, high reg.VecVirtual
	empty     bool
}

// add adds a group of taps. weights in memory are eight coefficients and eight slopes, source is eight stereo
// frames. The coefficients' order in memory makes unpacking yield each one twice, in the source's order.
func (s *sum) add(weights, source Mem, fraction reg.VecVirtual) {
	weight, low, high := YMM(), YMM(), YMM()
	VMOVUPS(weights, weight)
	VFMADD231PS(weights.Offset(tapGroup*tapBytes), fraction, weight)
	VUNPCKLPS(weight, weight, low)
	VUNPCKHPS(weight, weight, high)
	second := source.Offset(tapGroup * pairBytes / 2)
	if s.empty {
		VMULPS(source, low, s.low)
		VMULPS(second, high, s.high)
		s.empty = false
		return
	}
	VFMADD231PS(source, low, s.low)
	VFMADD231PS(second, high, s.high)
}

func (s *sum) total() reg.VecVirtual {
	VADDPS(s.high, s.low, s.low)
	return s.low
}

func unrolledSum(taps int, window, row reg.GPVirtual, fraction reg.VecVirtual) reg.VecVirtual {
	s := sum{YMM(), YMM(), true}
	for done := 0; done < taps*tapRoom; done += tapGroup * tapRoom {
		s.add(Mem{Base: row, Disp: done}, Mem{Base: window, Disp: done}, fraction)
	}
	return s.total()
}

// loopedSum takes the length of a row in bytes from a register; a window is as long.
func loopedSum(length, window, row reg.GPVirtual, fraction reg.VecVirtual) reg.VecVirtual {
	s := sum{YMM(), YMM(), false}
	VXORPS(s.low, s.low, s.low)
	VXORPS(s.high, s.high, s.high)
	done := GP64()
	XORQ(done, done)
	Label("taps")
	s.add(Mem{Base: row, Index: done, Scale: 1}, Mem{Base: window, Index: done, Scale: 1}, fraction)
	ADDQ(U8(tapGroup*tapRoom), done)
	CMPQ(done, length)
	JLT(LabelRef("taps"))
	return s.total()
}
