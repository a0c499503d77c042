// Package testyard holds the map that the tests of mapping/export and of its packages work with.
package testyard

import "lapstrake/mapping"

// RateHz is the rate of the map's beds.
const RateHz = 8000

// Map has two layers of two strands and three zones: rank C with roots 36 (keys 25 to 36) and 48 (37 to 48, start
// 3/4), rank F# with root 42 (31 to 42, start 1/2).
func Map() *mapping.Map {
	m := mapping.New()
	m.RateHz = RateHz
	for _, z := range []mapping.Zone{
		{Rank: "C", Root: 36, Low: 25, High: 36},
		{Rank: "C", Root: 48, Low: 37, High: 48, Start: 0.75},
		{Rank: "F#", Root: 42, Low: 31, High: 42, Start: 0.5},
	} {
		z.Beds = map[string][]string{}
		for _, layer := range m.Layers {
			for _, strand := range m.Strands {
				z.Beds[layer] = append(z.Beds[layer],
					"beds/"+mapping.BedName{Layer: layer, Strand: strand, Root: z.Root}.String())
			}
		}
		m.Zones = append(m.Zones, z)
	}
	return m
}
