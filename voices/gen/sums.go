// The dot product of one frame: coefficients interpolated in registers, doubled for left and right, times the source.

package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// sum collects one frame's products as left, right, left, right, …: even and odd halves of each tap group apart,
// to halve the chain of dependent additions.
type sum struct {
	low, high reg.VecVirtual
	empty     bool
}

// add adds a group of taps: coefficients and slopes (eight float32 each) and source (eight stereo frames) in memory.
// The coefficients' order in memory makes unpacking the register's halves yield each one twice, in the source's order.
func (s *sum) add(coefficients, slopes, source Mem, fraction reg.VecVirtual) {
	weights, low, high := YMM(), YMM(), YMM()
	VMOVUPS(coefficients, weights)
	VFMADD231PS(slopes, fraction, weights)
	VUNPCKLPS(weights, weights, low)
	VUNPCKHPS(weights, weights, high)
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
	for tap := 0; tap < taps; tap += tapGroup {
		at := Mem{Base: row, Disp: tap * tapBytes}
		s.add(at, at.Offset(taps*tapBytes), Mem{Base: window, Disp: tap * pairBytes}, fraction)
	}
	return s.total()
}

// loopedSum takes the length of a row's coefficients in bytes from a register.
func loopedSum(length, window, row reg.GPVirtual, fraction reg.VecVirtual) reg.VecVirtual {
	s := sum{YMM(), YMM(), false}
	VXORPS(s.low, s.low, s.low)
	VXORPS(s.high, s.high, s.high)
	slopes, done := GP64(), zeroed()
	LEAQ(Mem{Base: row, Index: length, Scale: 1}, slopes)
	Label("taps")
	s.add(Mem{Base: row, Index: done, Scale: 1}, Mem{Base: slopes, Index: done, Scale: 1},
		Mem{Base: window, Index: done, Scale: pairBytes / tapBytes}, fraction)
	ADDQ(U8(tapGroup*tapBytes), done)
	CMPQ(done, length)
	JLT(LabelRef("taps"))
	return s.total()
}
