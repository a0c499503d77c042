// Processors other than amd64 have the portable kernel alone.

//go:build !amd64

package voices

// kernelFor returns the kernel that computes this way, or nil where the processor cannot.
func kernelFor(a Arithmetic) kernel {
	if a == Fastest || a == Portable {
		return mixPortable
	}
	return nil
}

func prefetchLines(start *float32, samples int) {}
