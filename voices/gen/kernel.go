// The two shapes of kernel, for a fixed number of taps and for any, and the parts they share.

package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

const (
	batch     = 8 // frames whose phases are worked out together
	group     = 4 // frames whose last additions are shared
	tapGroup  = 8 // taps whose coefficients fill one register
	tapBytes  = 4 // bytes of one coefficient
	pairBytes = 8 // bytes of one stereo frame
)

// kernel holds what a kernel keeps in registers and on the stack.
type kernel struct {
	dst, src, rows, pos, step, dstep, frames reg.GPVirtual

	phases phases
	index  reg.VecVirtual // float32 index of the gain ramp: i i i+1 i+1 i+2 i+2 i+3 i+3
}

// newKernel starts a function and loads its arguments.
func newKernel(name, doc string) *kernel {
	TEXT(name, NOSPLIT, "func(dst, src, rows *float32, taps, phaseBits int, pos, step, dstep uint64, frames, first int, gain, gainStep float32)")
	Doc(name + " " + doc)
	Pragma("noescape")
	argument := func(name string) reg.GPVirtual { return Load(Param(name), GP64()).(reg.GPVirtual) }
	k := &kernel{
		dst: argument("dst"), src: argument("src"), rows: argument("rows"),
		pos: argument("pos"), step: argument("step"), dstep: argument("dstep"), frames: argument("frames"),
		index: YMM(),
	}
	first := XMM()
	VCVTSI2SSQ(parameter("first"), first, first)
	VBROADCASTSS(first, k.index)
	VADDPS(eightFloats("rampIndex", 0, 0, 1, 1, 2, 2, 3, 3), k.index, k.index)
	k.phases.start(k.pos, k.step, k.dstep)
	return k
}

// fixedTaps emits a kernel with its taps unrolled. Whole batches go four frames at a time; the up to seven
// frames that are left go one at a time, with the same sums in the same order, so that a frame's value
// does not depend on where a stretch was cut.
func (k *kernel) fixedTaps(taps int) {
	Label("batch")
	k.phases.next(func(row reg.VecVirtual) {
		width := GP32()
		MOVL(U32(2*taps*tapBytes), width)
		multiplyLanes(row, width)
	})
	CMPQ(k.frames, U8(batch))
	JLT(LabelRef("rest"))
	for first := 0; first < batch; first += group {
		var sums [group]reg.VecVirtual
		for f := range sums {
			row, fraction := k.phases.fixed(first+f, k.rows)
			sums[f] = unrolledSum(taps, k.window(), row, fraction)
		}
		k.mixGroup(sums, first)
	}
	ADDQ(U8(batch*pairBytes), k.dst)
	SUBQ(U8(batch), k.frames)
	JNZ(LabelRef("batch"))
	VZEROUPPER()
	RET()

	Label("rest")
	lane := zeroed()
	Label("frame")
	row, fraction := k.phases.at(lane, k.rows)
	k.mixFrame(unrolledSum(taps, k.window(), row, fraction))
	INCQ(lane)
	DECQ(k.frames)
	JNZ(LabelRef("frame"))
	VZEROUPPER()
	RET()
}

// anyTaps emits a kernel that loops over its taps, one frame at a time.
func (k *kernel) anyTaps() {
	coefficients := GP64()
	MOVQ(parameter("taps"), coefficients)
	SHLQ(U8(2), coefficients)
	Label("batch")
	k.phases.next(func(row reg.VecVirtual) {
		width := GP32()
		LEAL(Mem{Base: coefficients, Index: coefficients, Scale: 1}, width)
		multiplyLanes(row, width)
	})
	lane := zeroed()
	Label("frame")
	row, fraction := k.phases.at(lane, k.rows)
	k.mixFrame(loopedSum(coefficients, k.window(), row, fraction))
	DECQ(k.frames)
	JZ(LabelRef("done"))
	INCQ(lane)
	CMPQ(lane, U8(batch))
	JLT(LabelRef("frame"))
	JMP(LabelRef("batch"))
	Label("done")
	VZEROUPPER()
	RET()
}

// window returns the address of the present frame's first source frame and moves the position on.
func (k *kernel) window() reg.GPVirtual {
	address := GP64()
	MOVQ(k.pos, address)
	SHRQ(U8(32), address)
	LEAQ(Mem{Base: k.src, Index: address, Scale: pairBytes}, address)
	ADDQ(k.step, k.pos)
	ADDQ(k.dstep, k.step)
	return address
}

// mixGroup finishes the sums of four frames together and mixes them in, first frames beyond dst.
func (k *kernel) mixGroup(sums [group]reg.VecVirtual, first int) {
	halves := func(a, b reg.VecVirtual) reg.VecVirtual {
		low, high := YMM(), YMM()
		VUNPCKLPD(b, a, low)
		VUNPCKHPD(b, a, high)
		VADDPS(high, low, low)
		return low
	}
	early, late := halves(sums[0], sums[1]), halves(sums[2], sums[3])
	low, high := YMM(), YMM()
	VPERM2F128(U8(0x20), late, early, low)
	VPERM2F128(U8(0x31), late, early, high)
	VADDPS(high, low, low)

	gain, step, mixed := YMM(), YMM(), YMM()
	VBROADCASTSS(parameter("gain"), gain)
	VBROADCASTSS(parameter("gainStep"), step)
	VFMADD231PS(k.index, step, gain)
	place := Mem{Base: k.dst, Disp: first * pairBytes}
	VMOVUPS(place, mixed)
	VFMADD231PS(gain, low, mixed)
	VMOVUPS(mixed, place)
	VADDPS(eightFloats("groupFrames", group, group, group, group, group, group, group, group), k.index, k.index)
}

// mixFrame finishes one frame's sum as mixGroup does, mixes it in and moves dst on.
func (k *kernel) mixFrame(sum reg.VecVirtual) {
	swapped := YMM()
	VPERMILPD(U8(0b0101), sum, swapped)
	VADDPS(swapped, sum, sum)
	high, pair := XMM(), XMM()
	VEXTRACTF128(U8(1), sum, high)
	VADDPS(high, sum.AsX(), pair)

	gain, step, mixed := XMM(), XMM(), XMM()
	VBROADCASTSS(parameter("gain"), gain)
	VBROADCASTSS(parameter("gainStep"), step)
	VFMADD231PS(k.index.AsX(), step, gain)
	VMOVSD(Mem{Base: k.dst}, mixed)
	VFMADD231PS(gain, pair, mixed)
	VMOVSD(mixed, Mem{Base: k.dst})
	VADDPS(eightFloats("oneFrame", 1, 1, 1, 1, 1, 1, 1, 1), k.index, k.index)
	ADDQ(U8(pairBytes), k.dst)
}
