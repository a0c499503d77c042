// Rows and fractions of eight frames at once, worked out in vector registers and handed over on the stack.

package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// phases follows the low halves of eight consecutive positions. With step s growing by d after every frame, frame i of a
// batch is at p + i·s + i(i−1)/2·d, and the same lane of the next batch 8·(s + i·d) + 28·d further on, which
// itself grows by 64·d a batch. All modulo 2³², as the fraction needs.
type phases struct {
	position, advance, growth reg.VecVirtual

	fractions, starts Mem // stack: eight float32 fractions, eight byte offsets of rows
	fractionBits      Mem // stack: 32 − phaseBits
}

func (p *phases) start(pos, step, dstep reg.GPVirtual) {
	p.position, p.advance, p.growth = YMM(), YMM(), YMM()
	p.fractions, p.starts, p.fractionBits = AllocLocal(32), AllocLocal(32), AllocLocal(8)

	spread(pos, p.position)
	spread(step, p.advance)
	spread(dstep, p.growth)
	lanes, part := YMM(), YMM()
	VMOVDQU(eightInts("laneIndex", 0, 1, 2, 3, 4, 5, 6, 7), lanes)
	VPMULLD(lanes, p.advance, part)
	VPADDD(part, p.position, p.position)
	VPMULLD(eightInts("laneTriangle", 0, 0, 1, 3, 6, 10, 15, 21), p.growth, part)
	VPADDD(part, p.position, p.position)

	VPSLLD(U8(3), p.advance, p.advance)
	VPSLLD(U8(3), lanes, lanes)
	VPADDD(eightInts("batchTriangle", 28, 28, 28, 28, 28, 28, 28, 28), lanes, lanes)
	VPMULLD(lanes, p.growth, part)
	VPADDD(part, p.advance, p.advance)
	VPSLLD(U8(6), p.growth, p.growth)

	bits := GP64()
	MOVQ(U32(32), bits)
	SUBQ(parameter("phaseBits"), bits)
	MOVQ(bits, p.fractionBits)
}

// next stores the fractions and row offsets of the next eight frames and moves on. scale turns row numbers into bytes.
func (p *phases) next(scale func(row reg.VecVirtual)) {
	bits, part := XMM(), YMM()
	VMOVQ(p.fractionBits, bits)
	VPSRLD(bits, p.position, part)
	scale(part)
	VMOVDQU(part, p.starts)

	VMOVQ(parameter("phaseBits"), bits)
	VPSLLD(bits, p.position, part)
	VPSRLD(bits, part, part)
	VCVTDQ2PS(part, part)
	VMOVUPS(part, p.fractions)

	VPADDD(p.advance, p.position, p.position)
	VPADDD(p.growth, p.advance, p.advance)
}

// fixed returns the address of a lane's row and its fraction, in every lane of a register.
func (p *phases) fixed(lane int, rows reg.GPVirtual) (row reg.GPVirtual, fraction reg.VecVirtual) {
	return load(p.starts.Offset(4*lane), p.fractions.Offset(4*lane), rows)
}

// at does the same for a lane that a register tells.
func (p *phases) at(lane, rows reg.GPVirtual) (row reg.GPVirtual, fraction reg.VecVirtual) {
	return load(p.starts.Idx(lane, 4), p.fractions.Idx(lane, 4), rows)
}

func load(start, fraction Mem, rows reg.GPVirtual) (reg.GPVirtual, reg.VecVirtual) {
	row, everywhere := GP64(), YMM()
	MOVL(start, row.As32())
	ADDQ(rows, row)
	VBROADCASTSS(fraction, everywhere)
	return row, everywhere
}
