// The two shapes of kernel, for a fixed number of taps and for any, and the parts they share.

package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

const (
	group     = 4 // frames whose last additions are shared
	tapGroup  = 8 // taps whose coefficients fill one register
	tapBytes  = 4 // bytes of one coefficient or slope
	tapRoom   = 8 // bytes a tap takes in a row: a coefficient and a slope
	pairBytes = 8 // bytes of one stereo frame
)

// kernel holds what a kernel keeps in registers.
type kernel struct {
	dst, src, rows, pos, step, dstep, frames reg.GPVirtual

	fractionBits, fractionMask reg.GPVirtual  // the part of the position's low half below the row's number
	index                      reg.VecVirtual // float32 index of the gain ramp: i i i+1 i+1 i+2 i+2 i+3 i+3
}

// newKernel starts a function and loads its arguments.
func newKernel(name, doc string) *kernel {
	TEXT(name, NOSPLIT, "func(dst, src, rows *float32, taps, phaseBits int, pos, step, dstep uint64, frames, first "+
		"int, gain, gainStep float32)")
	Doc(name + " " + doc)
	Pragma("noescape")
	argument := func(name string) reg.GPVirtual { return Load(Param(name), GP64()).(reg.GPVirtual) }
	k := &kernel{
		dst: argument("dst"), src: argument("src"), rows: argument("rows"),
		pos: argument("pos"), step: argument("step"), dstep: argument("dstep"), frames: argument("frames"),
		fractionBits: GP64(), fractionMask: GP64(), index: YMM(),
	}
	MOVQ(U32(32), k.fractionBits)
	SUBQ(parameter("phaseBits"), k.fractionBits)
	MOVQ(I32(-1), k.fractionMask)
	SHLXQ(k.fractionBits, k.fractionMask, k.fractionMask)
	NOTQ(k.fractionMask)

	first := XMM()
	VXORPS(first, first, first)
	VCVTSI2SSQ(parameter("first"), first, first)
	VBROADCASTSS(first, k.index)
	VADDPS(eightFloats("rampIndex", 0, 0, 1, 1, 2, 2, 3, 3), k.index, k.index)
	return k
}

// fixedTaps emits a kernel with its taps unrolled. Frames go in groups of four; the up to three that are left
// go one at a time, with the same sums in the same order, so that a frame's value does not depend on where a
// stretch was cut.
func (k *kernel) fixedTaps(taps int) {
	frame := func() reg.VecVirtual {
		row, fraction := k.row(func(row reg.GPVirtual) { IMUL3Q(U32(taps*tapRoom), row, row) })
		return unrolledSum(taps, k.window(), row, fraction)
	}
	SUBQ(U8(group), k.frames)
	JLT(LabelRef("rest"))
	Label("group")
	var sums [group]reg.VecVirtual
	for f := range sums {
		sums[f] = frame()
	}
	k.mixGroup(sums)
	SUBQ(U8(group), k.frames)
	JGE(LabelRef("group"))

	Label("rest")
	ADDQ(U8(group), k.frames)
	JZ(LabelRef("done"))
	Label("frame")
	k.mixFrame(frame())
	DECQ(k.frames)
	JNZ(LabelRef("frame"))
	Label("done")
	VZEROUPPER()
	RET()
}

// anyTaps emits a kernel that loops over its taps, one frame at a time.
func (k *kernel) anyTaps() {
	length := GP64()
	MOVQ(parameter("taps"), length)
	SHLQ(U8(3), length) // by tapRoom
	Label("frame")
	row, fraction := k.row(func(row reg.GPVirtual) { IMULQ(length, row) })
	k.mixFrame(loopedSum(length, k.window(), row, fraction))
	DECQ(k.frames)
	JNZ(LabelRef("frame"))
	VZEROUPPER()
	RET()
}

// row returns the address of the present position's row and, in all lanes, its fraction. scale turns a row's
// number into bytes.
func (k *kernel) row(scale func(row reg.GPVirtual)) (row reg.GPVirtual, fraction reg.VecVirtual) {
	row = GP64()
	SHRXL(k.fractionBits.As32(), k.pos.As32(), row.As32())
	scale(row)
	ADDQ(k.rows, row)

	bits, low := GP64(), XMM()
	MOVQ(k.pos, bits)
	ANDL(k.fractionMask.As32(), bits.As32())
	VXORPS(low, low, low) // else the conversion waits for the register's last use
	VCVTSI2SSL(bits.As32(), low, low)
	fraction = YMM()
	VBROADCASTSS(low, fraction)
	return row, fraction
}

// window returns the address of the present position's first source frame and moves the position on.
func (k *kernel) window() reg.GPVirtual {
	address := GP64()
	MOVQ(k.pos, address)
	SHRQ(U8(32), address)
	LEAQ(Mem{Base: k.src, Index: address, Scale: pairBytes}, address)
	ADDQ(k.step, k.pos)
	ADDQ(k.dstep, k.step)
	return address
}

// mixGroup finishes the sums of four frames together, mixes them in and moves dst on.
func (k *kernel) mixGroup(sums [group]reg.VecVirtual) {
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
	VMOVUPS(Mem{Base: k.dst}, mixed)
	VFMADD231PS(gain, low, mixed)
	VMOVUPS(mixed, Mem{Base: k.dst})
	k.moveOn(group)
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
	k.moveOn(1)
}

// moveOn moves the gain ramp and dst on by so many frames.
func (k *kernel) moveOn(frames int) {
	n := float32(frames)
	VADDPS(eightFloats("advance"+string(rune('0'+frames)), n, n, n, n, n, n, n, n), k.index, k.index)
	ADDQ(U8(frames*pairBytes), k.dst)
}
