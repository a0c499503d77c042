// Command gen writes the AVX2 assembly of the sample decoders.
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

const blockSamples = 16 // as in decode_amd64.go

func main() {
	decode16()
	decode24()
	Generate()
}

// begin opens a decoder and loads its arguments and the scale, a power of two, in every lane.
func begin(name, doc string, scaleExponent int) (dst, src, blocks reg.Register, scale reg.VecVirtual) {
	TEXT(name, NOSPLIT, "func(dst *float32, src *byte, blocks int)")
	Pragma("noescape")
	Doc(doc)
	dst, src, blocks = Load(Param("dst"), GP64()), Load(Param("src"), GP64()), Load(Param("blocks"), GP64())
	bits := GP32()
	MOVL(U32(uint32(127+scaleExponent)<<23), bits)
	scale = YMM()
	VMOVD(bits, scale.AsX())
	VBROADCASTSS(scale.AsX(), scale)
	Label("block")
	return dst, src, blocks, scale
}

// store scales eight integers and puts them at dst.
func store(v, scale reg.VecVirtual, dst Mem) {
	VCVTDQ2PS(v, v)
	VMULPS(scale, v, v)
	VMOVUPS(v, dst)
}

// end closes the loop over the blocks.
func end(dst, src, blocks reg.Register, sampleBytes int) {
	ADDQ(Imm(uint64(blockSamples*sampleBytes)), src)
	ADDQ(Imm(blockSamples*4), dst)
	DECQ(blocks)
	JNZ(LabelRef("block"))
	VZEROUPPER()
	RET()
}

func decode16() {
	dst, src, blocks, scale := begin("decode16AVX2",
		"decode16AVX2 converts blocks × 16 samples of 16 bits. It reads 32 bytes a block.", -15)
	for i := 0; i < blockSamples; i += 8 {
		v := YMM()
		VPMOVSXWD(Mem{Base: src, Disp: 2 * i}, v)
		store(v, scale, Mem{Base: dst, Disp: 4 * i})
	}
	end(dst, src, blocks, 2)
}

// decode24 loads four samples into each half of a register and moves every sample's three bytes
// to the top of its 32-bit lane; the lane's lowest byte becomes zero.
func decode24() {
	table := GLOBL("spread24", RODATA|NOPTR)
	for lane := range 8 {
		first := 3 * (lane % 4)
		for i, from := range []int{0x80, first, first + 1, first + 2} { // 0x80: zero
			DATA(4*lane+i, U8(uint8(from)))
		}
	}
	dst, src, blocks, scale := begin("decode24AVX2",
		"decode24AVX2 converts blocks × 16 samples of 24 bits. It reads 48 bytes a block and 4 more after the last.",
		-31)
	for i := 0; i < blockSamples; i += 8 {
		v := YMM()
		VMOVDQU(Mem{Base: src, Disp: 3 * i}, v.AsX())
		VINSERTI128(Imm(1), Mem{Base: src, Disp: 3*i + 12}, v, v)
		VPSHUFB(table, v, v)
		store(v, scale, Mem{Base: dst, Disp: 4 * i})
	}
	end(dst, src, blocks, 3)
}
