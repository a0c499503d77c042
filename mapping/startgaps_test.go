// How far apart starts lie, on maps whose answer is counted by hand, and what a search for better ones gains.

package mapping

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func gridMap(t interface{ Fatal(...any) }, g Grid) *Map {
	m := New()
	if _, err := Generate(m, bedsOf(m, g.Roots()...), g); err != nil {
		t.Fatal(err)
	}
	return m
}

func gapsOf(t testing.TB, m *Map, chord string) StartGaps {
	t.Helper()
	for _, g := range m.StartGaps(CommonChords(), 21, 108) {
		if g.Chord == chord {
			return g
		}
	}
	t.Fatalf("no gaps of %q", chord)
	return StartGaps{}
}

// By the default grid, the zones of roots n and n+6 of the two ranks begin at one place: on the six keys up to each
// root of the lower rank, 46 of the 88 with the cut octaves at the ends.
func TestRanksOfTheDefaultGridShareStarts(t *testing.T) {
	gaps := gapsOf(t, gridMap(t, DefaultGrid()), "one key")
	if gaps.Chords != 88 || gaps.Shared != 46 || gaps.Cycles != 2 || gaps.EvenTurns != 0.5 {
		t.Errorf("one key: %+v, want 46 of 88 keys whose two cycles begin at one place", gaps)
	}
	// The other 42 keys begin a quarter of a turn apart.
	if want := 42 * 0.25 / 88; math.Abs(gaps.MeanTurns-want) > 1e-12 {
		t.Errorf("one key: %v turns apart on average, want %v", gaps.MeanTurns, want)
	}
}

func TestRanksApart(t *testing.T) {
	g := DefaultGrid()
	g.RanksApartTurns = 0.125
	m := gridMap(t, g)
	// The 46 keys whose cycles began together, and the 42 on which the second rank began a quarter later.
	want := (46*0.125 + 42*0.375) / 88
	if gaps := gapsOf(t, m, "one key"); gaps.Shared != 0 || math.Abs(gaps.MeanTurns-want) > 1e-12 {
		t.Errorf("ranks an eighth apart: %+v, want no key whose cycles begin at one place, and %v turns on average",
			gaps, want)
	}
	for _, z := range m.Zones {
		want := map[string]float64{"C": 0, "F#": 0.125}[z.Rank] + DefaultStarts()[(z.Root-24)/12%4]
		if z.Start != want {
			t.Errorf("rank %s, root %d starts at %v, want %v", z.Rank, z.Root, z.Start, want)
		}
	}
	g.StaggerBy = ByKey
	for _, z := range gridMap(t, g).Zones {
		if want := map[string]float64{"C": 0, "F#": 0.125}[z.Rank]; z.Start != want {
			t.Errorf("by key: rank %s, root %d starts at %v, want %v", z.Rank, z.Root, z.Start, want)
		}
	}
}

// Distances round the turn, counted by comparing every start with every other.
func TestStartDistances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		starts := rapid.SliceOfN(rapid.Float64Range(0, 0.999), 2, 9).Draw(t, "starts")
		wantNearest, wantMean := 1.0, 0.0
		for i, a := range starts {
			own := 1.0
			for j, b := range starts {
				if i != j {
					d := math.Abs(a - b)
					own = min(own, d, 1-d)
				}
			}
			wantNearest, wantMean = min(wantNearest, own), wantMean+own/float64(len(starts))
		}
		nearest, mean := startDistances(slices.Clone(starts))
		if math.Abs(nearest-wantNearest) > 1e-12 || math.Abs(mean-wantMean) > 1e-12 {
			t.Fatalf("nearest %v, mean %v of %v; want %v and %v", nearest, mean, starts, wantNearest, wantMean)
		}
	})
}

// By keys, no common chord has two cycles that begin at one place any more, and triads are at two thirds of even.
func TestSpreadStartsByKey(t *testing.T) {
	g := DefaultGrid()
	g.StaggerBy = ByKey
	for _, gaps := range gridMap(t, g.SpreadStarts(g.Roots())).StartGaps(CommonChords(), 21, 108) {
		if gaps.Shared > 0 {
			t.Errorf("%s: %d of %d chords have two cycles that begin at one place", gaps.Chord,
				gaps.Shared, gaps.Chords)
		}
		if gaps.MeanTurns < 0.55*gaps.EvenTurns {
			t.Errorf("%s: %.3f turns apart, want more than half of the even %.3f", gaps.Chord,
				gaps.MeanTurns, gaps.EvenTurns)
		}
	}
}

// The spread list is better than the list it begins with and than the golden one, whatever the stagger and the ranks.
// By press, all keys of a chord are at one place of the list: only the distance of the ranks can gain, and never lose.
func TestSpreadStartsGain(t *testing.T) {
	worth := func(g Grid) (sum float64) {
		for _, gaps := range gridMap(t, g).StartGaps(CommonChords(), g.LowestKey, g.HighestKey) {
			sum += gaps.MeanTurns/gaps.EvenTurns - float64(gaps.Shared)/float64(gaps.Chords)
		}
		return sum
	}
	for _, by := range []By{ByZone, ByKey, ByPress} {
		for ranks := 1; ranks <= 3; ranks++ {
			g := DefaultGrid()
			g.StaggerBy, g.Ranks, g.LowestKey, g.HighestKey = by, ranks, 48, 72
			golden := g
			golden.Starts = nil
			spread := g.SpreadStarts(g.Roots())
			if err := spread.Check(); err != nil {
				t.Errorf("by %s, %d ranks: %v", by, ranks, err)
			}
			got, most := worth(spread), max(worth(g), worth(golden))
			if got < most || by != ByPress && got == most {
				t.Errorf("by %s, %d ranks: spread is worth %.3f, the default list %.3f, the golden one %.3f",
					by, ranks, got, worth(g), worth(golden))
			}
		}
	}
}
