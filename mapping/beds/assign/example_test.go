package assign_test

import (
	"fmt"
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/takes/measure"
)

// Three takes for two beds: each pitched one goes to the root that is near to it, the noisy one fills up.
func ExampleTakes() {
	candidates := []assign.Candidate{
		{Index: 0, Contributor: "Pell", Key: 47.6, Kind: measure.Held, BrightnessHz: 500, Seconds: 6},
		{Index: 1, Contributor: "Ama", Key: 61, Kind: measure.Struck, BrightnessHz: 2000, Seconds: 2},
		{Index: 2, Contributor: "Nan", Key: math.NaN(), Kind: measure.Noisy, BrightnessHz: 900, Seconds: 9},
	}
	slots := []mapping.BedName{{Layer: "soft", Strand: "a", Root: 48}, {Layer: "soft", Strand: "a", Root: 60}}
	a := assign.Takes(candidates, slots, assign.Options{
		LeastTakes: 1, MostTakes: 2, BedSec: 5, BrightMoveSemitones: 3, SoftMoveSemitones: 7, Seed: 1,
	})
	for bed, placements := range a.Beds {
		for _, p := range placements {
			fmt.Printf("%s: %s, moved %+.1f semitones\n", a.Slots[bed], candidates[p.Take].Contributor,
				p.MoveSemitones)
		}
	}
	// Output:
	// soft-a-k048.wav: Pell, moved +0.4 semitones
	// soft-a-k060.wav: Ama, moved -1.0 semitones
	// soft-a-k060.wav: Nan, moved +0.0 semitones
}
