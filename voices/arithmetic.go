// Which instructions a mixer computes with.

package voices

import "fmt"

// Arithmetic chooses the instructions a Mixer computes with. The choices agree within float32 rounding.
type Arithmetic int

const (
	Fastest  Arithmetic = iota // the best this processor has, found at run time
	AVX2                       // 256-bit vectors with fused multiply-add; amd64 only
	Portable                   // plain Go, any processor
)

// String returns "fastest", "AVX2" or "portable".
func (a Arithmetic) String() string {
	switch a {
	case Fastest:
		return "fastest"
	case AVX2:
		return "AVX2"
	case Portable:
		return "portable"
	}
	return fmt.Sprintf("Arithmetic(%d)", int(a))
}

// Available reports whether this processor can compute this way.
func (a Arithmetic) Available() bool { return kernelFor(a) != nil }
