// Seams: what each rank of a key sounds like beside the others, as rendered.

package engine

import (
	"fmt"
	"math/cmplx"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// fadedProject has one layer and so many ranks over two octaves, each a partial of its own: the first sounds the
// pitch, the next its octave, and so on, all at a level of 0.1.
func fadedProject(t *testing.T, ranks int) (p *project, lowest, highest int) {
	p = newProject(t)
	p.Layers, p.ReleaseSec = []string{"one"}, 0.02
	g := mapping.DefaultGrid()
	g.Ranks, g.LowestKey, g.HighestKey = ranks, 48, 71
	var beds []mapping.Bed
	for i, root := range g.Roots() {
		hz := testsound.KeyHz(root) * float64(i%ranks+1)
		path := p.bed(fmt.Sprintf("k%03d.wav", root), sineOf(seconds(2), hz, 0, 0.1))
		for _, strand := range p.Strands {
			beds = append(beds, mapping.Bed{BedName: mapping.BedName{Layer: "one", Strand: strand, Root: root},
				Path: path})
		}
	}
	if unused, err := mapping.Generate(p.Map, beds, g); err != nil || len(unused) > 0 {
		t.Fatal(unused, err)
	}
	return p, g.LowestKey, g.HighestKey
}

// powersOf renders the keys one by one and measures the power of each rank, the beds' own being 1.
func powersOf(p *project, ranks, lowest, highest int) (powers [][]float64) {
	const apartSec, heldSec = 0.8, 0.7 // within 0.9 s of every start there is no join
	var events []Event
	for key := lowest; key <= highest; key++ {
		at := int64(seconds(apartSec * float64(key-lowest)))
		events = append(events, NoteOn(at, 0, byte(key), 100), NoteOff(at+int64(seconds(heldSec)), 0, byte(key)))
	}
	out := play(p.open(Settings{}), seconds(apartSec*float64(highest-lowest+1)), events...)
	for key := lowest; key <= highest; key++ {
		heard := leftOf(out, apartSec*float64(key-lowest)+0.05, 0.6)
		var of []float64
		for rank := range ranks {
			level := cmplx.Abs(testsound.Partial(heard, testRateHz, testsound.KeyHz(key)*float64(rank+1), 0)) / 0.1
			of = append(of, level*level)
		}
		powers = append(powers, of)
	}
	return powers
}

func sum(powers []float64) (all float64) {
	for _, power := range powers {
		all += power
	}
	return all
}

// Whatever the number of ranks, a key has the power of all of them; a rank that changes zones between two keys is then
// at least 6 dB below its fair share, and as loud on one side as on the other.
func TestRanksFadeAtTheirSeams(t *testing.T) {
	for _, ranks := range []int{2, 3, 4} {
		p, lowest, highest := fadedProject(t, ranks)
		powers := powersOf(p, ranks, lowest, highest)
		for i, of := range powers {
			requireNear(t, fmt.Sprintf("%d ranks, key %d, power", ranks, lowest+i), sum(of), float64(ranks),
				0.005*float64(ranks))
		}
		seams := 0
		for key := lowest; key < highest; key++ {
			for rank := range ranks {
				below, above := powers[key-lowest][rank], powers[key+1-lowest][rank]
				if zoneOf(p.Map, key, rank) == zoneOf(p.Map, key+1, rank) {
					continue
				}
				seams++
				if below > 0.25 || above > 0.25 || below/above < 0.8 || below/above > 1.25 {
					t.Errorf("%d ranks, keys %d and %d: rank %d changes zones at a power of %.3f and %.3f",
						ranks, key, key+1, rank, below, above)
				}
			}
		}
		if seams < 3 {
			t.Errorf("%d ranks: %d seams", ranks, seams)
		}
	}
}

// zoneOf is the zone that a rank, counted by the partial that it sounds, has at a key.
func zoneOf(m *mapping.Map, key, rank int) int {
	for _, i := range m.ZonesAt(key) {
		if m.Zones[i].Rank == m.Ranks()[rank] {
			return i
		}
	}
	return -1
}

// What a map without a fade plays, and one whose only rank is alone: every rank on every key at the beds' own level.
func TestRanksWithoutAFade(t *testing.T) {
	for _, ranks := range []int{1, 2} {
		p, lowest, highest := fadedProject(t, ranks)
		if ranks > 1 {
			p.SeamFadeDB = 0
		}
		for i, of := range powersOf(p, ranks, lowest, highest) {
			for _, power := range of {
				requireNear(t, fmt.Sprintf("%d ranks, key %d, power", ranks, lowest+i), power, 1, 0.005)
			}
		}
	}
}
