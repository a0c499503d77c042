// The prefetch of a stretch of memory.

package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

const cacheLine = 64 // bytes

// prefetchLines emits a loop over the cache lines that hold samples.
func prefetchLines() {
	TEXT("prefetchLines", NOSPLIT, "func(start *float32, samples int)")
	Doc("prefetchLines asks for the cache lines of that many samples, at least one.")
	Pragma("noescape")
	line := Load(Param("start"), GP64()).(reg.GPVirtual)
	samples := Load(Param("samples"), GP64()).(reg.GPVirtual)
	end := GP64()
	LEAQ(Mem{Base: line, Index: samples, Scale: 4}, end)
	ANDQ(I8(-cacheLine), line)
	Label("line")
	PREFETCHT0(Mem{Base: line})
	ADDQ(U8(cacheLine), line)
	CMPQ(line, end)
	JCS(LabelRef("line"))
	RET()
}
