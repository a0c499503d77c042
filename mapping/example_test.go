package mapping_test

import (
	"fmt"

	"lapstrake/mapping"
)

// The default grid: two ranks of zones six semitones apart, so that every key sounds two cycles.
func ExampleGenerate() {
	grid := mapping.DefaultGrid()
	var beds []mapping.Bed
	m := mapping.New()
	for _, root := range grid.Roots() {
		for _, layer := range m.Layers {
			for _, strand := range m.Strands {
				name := mapping.BedName{Layer: layer, Strand: strand, Root: root}
				beds = append(beds, mapping.Bed{BedName: name, Path: "beds/" + name.String()})
			}
		}
	}
	if _, err := mapping.Generate(m, beds, grid); err != nil {
		fmt.Println(err)
		return
	}
	for _, i := range m.ZonesAt(60) {
		zone := &m.Zones[i]
		fmt.Printf("rank %s, root %s, played %+g semitones, from %g turns\n",
			zone.Rank, m.MiddleC.Name(zone.Root), m.ShiftSemitones(zone, 60), zone.Start)
	}
	// Output:
	// rank C, root C4, played +0 semitones, from 0.25 turns
	// rank F#, root F#4, played -6 semitones, from 0.25 turns
}

// Two beds of 15 s that overlap by 1 s make a cycle of 28 s; an octave lower it lasts 56 s.
func ExampleCycleLength() {
	const rateHz = 48000
	bed := int64(15 * rateHz)
	cycle := mapping.CycleLength{Frames: mapping.CycleFrames([]int64{bed, bed}, rateHz), RateHz: rateHz}
	fmt.Println(cycle.Seconds(0), cycle.Seconds(-12))
	// Output: 28 56
}

// One key sounds two cycles whose lengths are in the ratio of √2: they come back together, but never exactly.
func ExampleFirstReturn() {
	back, found := mapping.FirstReturn([]float64{28, 28 * 1.4142135623730951}, 0.02, 3600)
	fmt.Printf("%v: after %.0f s, at most %.1f %% of a turn off\n", found, back.BestSec, 100*back.WorstTurns)
	// Output: true: after 476 s, at most 1.2 % of a turn off
}
