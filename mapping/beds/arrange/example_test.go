package arrange_test

import (
	"fmt"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// Two held takes, both in tune with root 57, become a bed of four seconds.
func ExampleBed() {
	const rateHz = 48000
	var parts []arrange.Part
	for i, sec := range []float64{1.5, 2} {
		samples := testsound.HarmonicWave(rateHz, sound.KeyHz(57)*float64(i+1), sec)
		parts = append(parts, arrange.Part{Left: samples, Right: samples, Kind: measure.Held, Index: i})
	}
	settings := project.Default().Arrange
	bed, err := arrange.Bed(parts, hearing.Company{}, settings, 4*rateHz, rateHz, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d frames, %.1f LUFS where %.1f were asked for\n", len(bed.Left), bed.LoudnessLUFS,
		settings.TargetLUFS)
	fmt.Printf("%d takes, of each what it excites in %d blocks\n", len(bed.Courses), bed.Courses[0].Blocks())
	// Output:
	// 192000 frames, -20.0 LUFS where -20.0 were asked for
	// 2 takes, of each what it excites in 16 blocks
}
