// Draws maps at random that are legal, odd names and paths included.

package mapping

import (
	"fmt"
	"slices"

	"pgregory.net/rapid"
)

func drawMap(t *rapid.T) *Map {
	turns := rapid.Float64Range(0, 0.999999)
	m := New()
	m.RateHz = rapid.IntRange(8000, 384000).Draw(t, "rate")
	m.MiddleC = rapid.SampledFrom([]Naming{MiddleC4, MiddleC3}).Draw(t, "middle C")
	names := rapid.SliceOfNDistinct(rapid.StringMatching(`[a-z][a-z0-9]{0,5}`), 1, 4, rapid.ID[string])
	m.Layers, m.Strands = names.Draw(t, "layers"), names.Draw(t, "strands")
	m.BedSec = rapid.Float64Range(0, 86400).Draw(t, "bed seconds")
	m.OverlapSec = rapid.Float64Range(0, 600).Draw(t, "overlap")
	m.AttackSec = rapid.Float64Range(0, 60).Draw(t, "attack")
	m.ReleaseSec = rapid.Float64Range(0.005, 120).Draw(t, "release")
	m.VelocityAmount = rapid.Float64Range(0, 1).Draw(t, "velocity amount")
	m.BendSemitones = rapid.Float64Range(0, 24).Draw(t, "bend")
	m.Polyphony = rapid.IntRange(1, 4096).Draw(t, "polyphony")
	m.HeadroomDB = rapid.Float64Range(0, 60).Draw(t, "headroom")
	m.SeamFadeDB = rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, MostSeamFadeDB)).Draw(t, "fade at seams")
	m.Dynamics = Dynamics{
		Controller:   rapid.IntRange(0, 31).Draw(t, "dynamics controller"),
		Law:          rapid.SampledFrom([]Law{EqualPower, EqualGain}).Draw(t, "law"),
		SmoothingSec: rapid.Float64Range(0.001, 5).Draw(t, "smoothing"),
		Initial:      rapid.IntRange(0, 127).Draw(t, "initial"),
	}
	m.Volume.Controllers = rapid.SliceOfNDistinct(rapid.IntRange(67, 119), 0, 3, rapid.ID[int]).Draw(t,
		"volume controllers")
	m.Stagger = Stagger{
		By:     rapid.SampledFrom([]By{ByZone, ByKey, ByPress}).Draw(t, "by"),
		Starts: rapid.SliceOfN(turns, 1, 8).Draw(t, "starts"),
	}
	for rank := range rapid.IntRange(1, 3).Draw(t, "ranks") {
		name := fmt.Sprint(rank, rapid.String().Draw(t, "rank"))
		seams := rapid.SliceOfNDistinct(rapid.IntRange(0, 128), 2, 5, rapid.ID[int]).Draw(t, "seams")
		slices.Sort(seams)
		for i, low := range seams[:len(seams)-1] {
			z := Zone{Rank: name, Root: rapid.IntRange(0, 127).Draw(t, "root"), Low: low, High: seams[i+1] - 1,
				Start: turns.Draw(t, "start"), Beds: map[string][]string{}}
			for _, layer := range m.Layers {
				for range m.Strands {
					z.Beds[layer] = append(z.Beds[layer], drawBedPath(t))
				}
			}
			m.Zones = append(m.Zones, z)
		}
	}
	return m
}

func drawBedPath(t *rapid.T) string {
	return rapid.OneOf(
		rapid.StringMatching(`beds/[a-z]+-[a-z]+-k[0-9]{3}\.wav`),
		rapid.String().Filter(func(path string) bool { return checkBedPath(path) == nil }),
	).Draw(t, "bed")
}
