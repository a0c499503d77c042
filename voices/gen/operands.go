// Small helpers over the assembler's operands.

package main

import (
	"math"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
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

// eightFloats returns a read-only vector, emitted at its first use. It is emitted as bits: the assembler
// would read a float without a decimal point as an integer.
func eightFloats(name string, values ...float32) Mem {
	if _, known := vectors[name]; !known {
		vectors[name] = GLOBL(name, RODATA|NOPTR)
		for i, v := range values {
			DATA(4*i, U32(math.Float32bits(v)))
		}
	}
	return vectors[name]
}
