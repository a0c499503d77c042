// Small helpers over the assembler's operands.

package main

import (
	"math"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// parameter returns a function parameter's place in memory.
func parameter(name string) Mem {
	place, err := Param(name).Resolve()
	if err != nil {
		panic(err)
	}
	return place.Addr
}

var vectors = map[string]Mem{}

// eightInts and eightFloats return a read-only vector, emitted at its first use.
func eightInts(name string, values ...uint32) Mem {
	if _, known := vectors[name]; !known {
		vectors[name] = GLOBL(name, RODATA|NOPTR)
		for i, v := range values {
			DATA(4*i, U32(v))
		}
	}
	return vectors[name]
}

func eightFloats(name string, values ...float32) Mem {
	var bits []uint32
	for _, v := range values {
		bits = append(bits, math.Float32bits(v))
	}
	return eightInts(name, bits...)
}

// spread copies the low half of a register to all lanes.
func spread(from reg.GPVirtual, to reg.VecVirtual) {
	low := XMM()
	VMOVD(from.As32(), low)
	VPBROADCASTD(low, to)
}

// multiplyLanes multiplies all lanes by a register.
func multiplyLanes(lanes reg.VecVirtual, by reg.GPVirtual) {
	factor, low := YMM(), XMM()
	VMOVD(by, low)
	VPBROADCASTD(low, factor)
	VPMULLD(factor, lanes, lanes)
}

// zeroed returns a register that holds zero.
func zeroed() reg.GPVirtual {
	r := GP64()
	XORQ(r, r)
	return r
}
