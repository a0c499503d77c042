// Command gen writes the AVX2 kernels of package voices: kernel_amd64.s and its Go stubs.
package main

import (
	"fmt"

	. "github.com/mmcloughlin/avo/build"
)

func main() {
	for _, taps := range []int{16, 24, 32, 48} {
		k := newKernel(fmt.Sprintf("mixAVX2Taps%d", taps),
			fmt.Sprintf("mixes frames of %d taps; its argument taps is not read.", taps))
		k.fixedTaps(taps)
	}
	k := newKernel("mixAVX2AnyTaps", fmt.Sprintf("mixes frames of any number of taps that is a multiple of %d.",
		tapGroup))
	k.anyTaps()
	prefetchLines()
	Generate()
}
