package clean_test

import (
	"fmt"
	"math"
	"path/filepath"

	"lapstrake/mapping/beds/clean"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// A flute's A4 is cleaned once and goes into the beds of two roots.
func ExampleTake() {
	s, err := decode.File(filepath.Join(testsound.Recordings(), "flute", "A4.mp3"))
	if err != nil {
		fmt.Println(err)
		return
	}
	set := project.DefaultConformSettings()
	cleaned, err := clean.Take(s, measure.Take(s), 69, set)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, root := range []int{66, 72} {
		c, err := cleaned.Conform(clean.Treatment{TakeKey: 69, TargetKey: root}, set, 48000, math.MaxInt, 0)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("key %d: %.1f Hz, %.0f LUFS\n", root, c.FundamentalHz, c.LoudnessLUFS)
	}
	// Output:
	// key 66: 370.0 Hz, -23 LUFS
	// key 72: 523.3 Hz, -23 LUFS
}
