package show_test

import (
	"fmt"

	"lapstrake/engine/show"
)

// The level of a sound, as it comes block by block.
func ExampleLevels() {
	levels := show.NewLevels(48000)
	levels.Add([]float32{0.5, 0, -0.5, 0, 0.5, 0, -0.5, 0}) // four frames, on the left alone
	whole := levels.Whole()
	fmt.Printf("peak %.1f dBFS, RMS %.1f dBFS\n", whole.PeakDBFS, whole.RMSDBFS)
	// Output: peak -6.0 dBFS, RMS -9.0 dBFS
}
